#pragma once

#include <algorithm>
#include <limits>
#include <memory>

#include "base/rfc3339.h"
#include "control/cellar.h"

namespace gyle::test {

inline Time at(const char* text) { return parse_rfc3339(text).value(); }
// Of seconds since the epoch.
inline TimeInterval moments(std::int64_t value, std::int64_t low, std::int64_t high) {
  return {Time(seconds(value)), Time(seconds(low)), Time(seconds(high))};
}

// Two batches, one of them packaged; remembers what it was asked to do.
class FakeCellar : public Cellar {
 public:
  FakeCellar() {
    BatchRecord open;
    open.id = 7;
    open.vessel = "left";
    open.spec.name = "Amber no. 12, second run";
    open.spec.pitched = at("2026-03-01T18:30:00Z");
    open.spec.original_gravity = SpecificGravity::unchecked(1.048);
    open.spec.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
    open.view.time = at("2026-03-03T12:00:00Z");
    open.view.stage = Stage::active;
    open.view.gravity = Interval{1.0302, 1.0298, 1.0306};
    open.view.temperature = Celsius{18.4};
    open.view.rate_points_per_day = std::numeric_limits<double>::quiet_NaN();
    open.view.forecast.final_time = moments(1772800000, 1772700000, 1'000'000'000'000);
    SensorHealth health;
    health.sensor = "hydrometer";
    health.last_heard = at("2026-03-03T11:00:00Z");
    health.battery_days = Interval{12, 9, 16};
    health.arrived_share = std::numeric_limits<double>::quiet_NaN();
    health.clock_off = -hours(5);
    open.view.sensors = {health};
    open.view.original_gravity = 1.048;
    open.view.known = at("2026-03-03T11:00:00Z");
    open.view.current_until = at("2026-03-03T17:00:00Z");
    BatchRecord packaged = open;
    packaged.id = 3;
    packaged.spec.name = "Gone";
    packaged.packaged = at("2026-02-20T10:00:00Z");
    know_all(packaged);
    BatchRecord unreadable;
    unreadable.id = 9;
    unreadable.vessel = "attic";
    unreadable.spec.name = "Attic stout";
    unreadable.spec.pitched = at("2026-03-01T18:30:00Z");
    unreadable.unreadable = "batch 9:1: no key";
    batches_ = {packaged, open, unreadable};
  }

  std::vector<SensorRecord> heard_of{
      {"hydrometer", "left", {{at("2026-03-03T11:00:00Z"), "hydrometer", Quantity::battery, 3.92}}},
      {"tube",
       "left",
       {{at("2026-03-03T11:00:00Z"), "tube", Quantity::inclination, 36.5},
        {at("2026-03-03T11:00:00Z"), "tube", Quantity::gravity, 1.031}},
       fit().curve},
      {"bad\xff", "", {{at("2026-03-03T12:00:00Z"), "bad\xff", Quantity::gravity, 1.03}}}};
  BatchView& open_view() { return batches_[1].view; }

  DaemonRecord daemon() const override {
    DaemonRecord record;
    record.version = "0.1.0";
    record.now = at("2026-03-03T12:00:00Z");
    record.readings = 5000000000;
    if (heard) record.last_message = now();
    record.database_trouble = "the disk is full";
    return record;
  }
  SelfFacts self_facts() const override { return facts; }
  static SelfFacts some_facts() {
    SelfFacts some;
    some.broker.address = "mqtt://localhost:1883";
    some.broker.trouble = "nobody answers there";
    some.database.free_bytes = 4'000'000'000;
    some.clock = {true, "chrony"};
    some.vessel_sensors = {{"left", "hydrometer"}, {"left", "tube"}, {"right", "probe"}};
    some.vessels = 2;
    return some;
  }
  SelfFacts facts = some_facts();
  std::vector<std::string> vessels() const override { return {"left", "right", "attic"}; }
  std::vector<BatchRecord> batches() const override { return batches_; }
  std::vector<BatchRecord> open_batches() const override {
    std::vector<BatchRecord> open = batches();
    std::erase_if(open, [](const BatchRecord& one) { return one.packaged.has_value(); });
    return open;
  }
  std::vector<SensorRecord> sensors(const std::optional<SensorPlace>& after,
                                    std::size_t at_most) const override {
    std::vector<SensorRecord> found;
    for (const SensorRecord& one : heard_of) {
      const SensorPlace place{one.vessel.empty(), one.sensor};
      if ((!after || place > *after) && found.size() < at_most) found.push_back(one);
    }
    return found;
  }
  std::optional<SensorRecord> sensor(const std::string& id) const override {
    for (const SensorRecord& one : heard_of) {
      if (one.sensor == id) return one;
    }
    return std::nullopt;
  }
  RefusalSummary refusals(std::size_t at_most) const override {
    RefusalSummary summary{{{RefusalReason::not_json, 12}}, refused};
    if (!refused.empty()) {
      summary.newest.resize(std::min(at_most, refused.size()));
      return summary;
    }
    summary.newest.resize(
        at_most, {at("2026-03-03T12:00:00Z"), RefusalReason::not_json, "t", "mast", "no JSON", "\x1b\xff"});
    return summary;
  }
  Result<std::vector<YeastHistory>> yeasts() const override {
    const Time pitched = at("2026-02-01T18:30:00Z");
    return std::vector<YeastHistory>{{"Farm/house", {}, 1},
                                     {"House ale",
                                      {{3, "Gone", pitched, {1.050, 1.0125, 0.75, 0.5, 4, 18.5}},
                                       {4, "Again", pitched, {1.05, 1.0115, 0.77, {}, 6, {}}}},
                                      2}};
  }
  Result<BatchRecord> pitch(const std::string& vessel, const BatchSpec& spec) override {
    if (vessel != "right") return fail(Errc::conflict, "left holds a batch");
    BatchRecord record;
    record.id = 8;
    record.vessel = vessel;
    record.spec = spec;
    return record;
  }
  Result<std::size_t> import_readings(const std::string& import,
                                      const std::vector<Reading>& readings) override {
    if (import == "import-too-late") return fail(Errc::out_of_range, "lies in the future");
    return readings.size();
  }
  Result<BatchRecord> import_batch(const std::string& import, const std::string& vessel,
                                   const BatchSpec& spec, Time packaged) override {
    if (import == "import-known") return fail(Errc::conflict, "imported already");
    BatchRecord record;
    record.id = 8;
    record.vessel = vessel;
    record.spec = spec;
    record.packaged = packaged;
    return record;
  }
  Result<BatchRecord> package(std::int64_t id, std::optional<Time> time) override {
    if (id == 3) return fail(Errc::conflict, "packaged already");
    BatchRecord record = batches_[id == 7 ? 1 : 2];
    record.packaged = time.value_or(at("2026-03-03T12:00:00Z"));
    return record;
  }
  Result<std::shared_ptr<const BatchTrace>> trace(std::int64_t id) const override {
    if (id == 9) return fail(Errc::malformed, "batch 9:1: no key");
    auto trace = std::make_shared<BatchTrace>();
    Outcome outcome;
    outcome.measured = {{at("2026-03-02T05:00:00Z"), Quantity::beer_temperature, 18.2},
                        {at("2026-03-02T05:00:00Z"), Quantity::ambient_temperature, 16.4},
                        {at("2026-03-02T07:00:00Z"), Quantity::sample, 1.0448}};
    outcome.curve.assign(
        2, {at("2026-03-02T06:00:00Z"), 1.0479, {1.048, 1.0475, 1.0485}, Celsius{18}, 0.0, Stage::lag});
    trace->add(outcome);
    return std::shared_ptr<const BatchTrace>(trace);
  }
  Result<std::vector<JournalEntry>> readings(std::int64_t, std::int64_t after,
                                             std::size_t at_most) const override {
    std::vector<JournalEntry> entries;
    for (std::int64_t number = after + 1; number <= 3 && entries.size() < at_most; ++number) {
      entries.push_back(
          {number, now(), {at("2026-03-02T06:00:00Z"), "=hydrometer", Quantity::gravity, 1.0479}});
    }
    return entries;
  }
  Result<std::vector<ReportedAlert>> alerts(std::int64_t) const override { return reported; }
  Result<std::vector<SystemAlert>> system_alerts(int newest,
                                                 std::optional<std::int64_t> before) const override {
    if (before) return std::vector<SystemAlert>();
    return std::vector<SystemAlert>(static_cast<std::size_t>(newest), {at("2026-03-02T06:00:00Z"),
                                                                       "broker-lost",
                                                                       Severity::error,
                                                                       Decision::State::raised,
                                                                       "Gone.",
                                                                       {13, false, now(), now()}});
  }
  Result<std::string> acknowledge(std::int64_t alert) override {
    if (alert != 12) return fail(Errc::not_found, "there is no such alert");
    return std::string("Raise it now.");
  }
  Result<std::string> snooze(std::int64_t, Time until) override {
    if (until < daemon().now) return fail(Errc::out_of_range, "that time has passed already");
    return std::string("Raise it now.");
  }
  Result<std::vector<ChannelReport>> channels() const override {
    return std::vector<ChannelReport>{{"phone", "webhook", 2, 1, at("2026-03-02T06:00:00Z"), "it is full"}};
  }
  Result<std::int64_t> test_channel(const std::string& channel) override {
    if (channel != "phone") return fail(Errc::not_found, "no channel is called that");
    return 14;
  }
  Result<Fate> fate(std::int64_t, const std::string&) const override { return Fate{"refused", 1, "401"}; }
  Result<std::int64_t> retry_channel(const std::string&) override { return 3; }
  Result<Outlook> outlook(std::int64_t id, const WhatIf& question) const override {
    if (id != 7) return fail(Errc::conflict, "the batch has left its vessel");
    Outlook outlook{};
    outlook.forecast.final_time = moments(1772800000, 1772700000, 1772900000);
    outlook.forecast.step = 1;
    outlook.forecast.step_time = outlook.forecast.final_time;
    outlook.forecast.final_gravity = Interval{1.0115, 1.0102, 1.0131};
    outlook.forecast.end_unknown = true;
    Time ready{seconds(1773360000)};
    if (question.hold) ready -= from_hours(question.hold->temperature.value);
    outlook.ready_time = TimeInterval{ready, ready - days(1), ready + days(1)};
    if (question.ready_by) outlook.chance_ready = 0.7;
    return outlook;
  }
  Result<BatchRecord> sample(std::int64_t, SpecificGravity gravity, std::optional<Time> taken) override {
    if (taken && *taken > daemon().now) return fail(Errc::out_of_range, "lies in the future");
    BatchRecord record = batches_[1];
    record.view.gravity = Interval{gravity.value(), gravity.value() - 0.0005, gravity.value() + 0.0005};
    return record;
  }
  Result<SetPointReport> set_point(std::int64_t id) const override {
    SetPointReport report;
    if (id != 7) return report;
    report.topic = "cellar/left/target";
    SetPointStatus& status = report.status;
    status.next = {SetPoint::State::awaits_yes, Ask{1, Celsius{22}}, {}};
    status.rule = {Celsius{10}, Celsius{24}};
    status.trouble = "it is not permitted";
    return report;
  }
  Result<SetPointReport> confirm_set_point(std::int64_t id, std::optional<int> step) override {
    if (id != 7 || step.value_or(1) != 1) return fail(Errc::conflict, "nothing waits for a yes");
    SetPointReport report = set_point(id).value();
    SetPointStatus& status = report.status;
    status.next = {SetPoint::State::asked, Ask{1, Celsius{22}}, daemon().now + minutes(10)};
    status.asked = status.next.ask;
    status.asked_since = daemon().now;
    return report;
  }
  Result<std::vector<JournalEntry>> samples(std::int64_t) const override {
    const auto sample = [](std::int64_t number, const char* time, double gravity) {
      return JournalEntry{number, now(), {at(time), "hand:left", Quantity::sample, gravity}};
    };
    return std::vector{sample(812, "2026-03-02T07:00:00Z", 1.0448),
                       sample(1402, "2026-03-03T07:00:00Z", 1.0312)};
  }
  Result<std::vector<CalibrationRecord>> calibrations(const std::string& sensor) const override {
    if (sensor != "tube") return std::vector<CalibrationRecord>{};
    return std::vector<CalibrationRecord>{{3, at("2026-03-01T09:00:00Z"), fit()},
                                          {2, at("2026-02-28T09:00:00Z"), {}},
                                          {1, at("2026-02-27T09:00:00Z"), fit()}};
  }
  Result<PairedSamples> paired_samples(std::int64_t, const std::string& sensor) const override {
    if (sensor != "tube") return fail(Errc::not_found, "it was not in the vessel");
    return PairedSamples{{{39.0, SpecificGravity::unchecked(1.040)}},
                         {{at("2026-03-03T07:00:00Z"), "hand:left", Quantity::sample, 1.0312}}};
  }
  Status forget_sensor(const std::string& sensor) override {
    if (sensor == "hydrometer") return fail(Errc::conflict, "hydrometer is in use by a batch");
    forgotten.push_back(sensor);
    return success();
  }
  std::vector<std::string> forgotten;
  Result<CalibrationRecord> calibrate(const std::string&, const std::optional<InclinationFit>& fit) override {
    return CalibrationRecord{4, daemon().now, fit};
  }
  Result<std::vector<Note>> notes(std::int64_t) const override { return written; }
  Result<Note> note(std::int64_t, const std::string& text, std::optional<Time> time, bool tasting) override {
    return Note{5, time.value_or(daemon().now), text, tasting};
  }
  Result<std::vector<NumberedFill>> fills(std::int64_t) const override { return filled; }
  Result<std::vector<BatchRecord>> filled_last(int) const override {
    if (filled.empty()) return std::vector<BatchRecord>{};
    return std::vector<BatchRecord>{batches_[0]};
  }
  Result<NumberedFill> add_fill(std::int64_t batch, const Fill& fill) override {
    if (batch != 3) return fail(Errc::conflict, "it is still in its vessel; package it first");
    BOOST_OUTCOME_TRYV(check_fill(fill));
    filled.push_back({static_cast<std::int64_t>(filled.size()) + 1, fill});
    return filled.back();
  }
  Status take_back_fill(std::int64_t, std::int64_t fill) override {
    const auto gone = std::erase_if(filled, [&](const NumberedFill& one) { return one.id == fill; });
    return gone > 0 ? success() : Status(fail(Errc::not_found, "this batch has no such fill"));
  }
  Result<std::vector<Amendment>> amendments(std::int64_t) const override { return amended; }
  Result<Amendment> amend(std::int64_t batch, AmendedThing thing, std::int64_t number,
                          const Entry& after) override {
    if (thing != AmendedThing::description && thing != AmendedThing::packaged && number > 9999) {
      return fail(Errc::not_found, "there is no such thing");
    }
    amended.push_back({9, daemon().now, thing, number, NotThere{}, after, {}, false});
    amended_batch = batch;
    return amended.back();
  }
  Result<Amendment> undo(std::int64_t, std::optional<std::int64_t> amendment) override {
    Amendment undone = amended.empty() ? Amendment{} : amended.back();
    undone.undoes = amendment.value_or(4);
    return undone;
  }

  std::vector<ReportedAlert> reported{step_due(12)};
  std::vector<Note> written;
  std::vector<NumberedFill> filled{
      {1, {at("2026-02-20T10:00:00Z"), Container::bottles, 20, 0.5, GasSource::priming, Celsius{20}}}};
  std::vector<Amendment> amended;
  std::int64_t amended_batch = 0;
  std::vector<Refusal> refused;
  bool heard = false;  // a message, ever

  static InclinationFit fit() {
    const std::vector<CalibrationPoint> points{{20, SpecificGravity::unchecked(1.000)},
                                               {30, SpecificGravity::unchecked(1.0205)},
                                               {40, SpecificGravity::unchecked(1.040)}};
    return fit_inclination(points).value();
  }

  static ReportedAlert step_due(std::int64_t id) {
    Decision decision;
    decision.time = at("2026-03-02T06:00:00Z");
    decision.kind = AlertKind::step_due;
    decision.step = 1;
    decision.evidence = {{"gravity_sg", 1.0205}, {"bad", std::numeric_limits<double>::infinity()}};
    return {decision, "Raise it now.", {id, false, {}, {}}};
  }

 private:
  static Time now() { return at("2026-03-03T12:00:00Z"); }

  // Everything that can be known of a batch.
  static void know_all(BatchRecord& batch) {
    batch.spec.volume_l = 20;
    batch.spec.yeast.attenuation_batches = 3;
    batch.spec.yeast.half_low_h = 30;
    batch.spec.yeast.half_high_h = 50;
    batch.spec.plan.push_back({Celsius{20}, UntilDays{3}});
    batch.spec.plan.push_back({Celsius{20}, UntilAttenuation{0.58}});
    batch.spec.plan.push_back({Celsius{20}, UntilGravity{SpecificGravity::unchecked(1.014)}});
    batch.spec.additions = {{AdditionKind::water, at("2026-03-02T08:00:00Z"), 2, 0},
                            {AdditionKind::fruit, at("2026-03-02T09:00:00Z"), 1.5, 0.1}};
    BatchView& view = batch.view;
    view.offset = PointsInterval{{0.5}, {-1}, {2}};
    view.rate_points_per_day = -2.5;
    view.attenuation = 0.4;
    view.started = now();
    view.final_gravity_since = now();
    view.forecast = {now(),
                     Interval{1.011, 1.010, 1.012},
                     moments(1772800000, 1772700000, 1772900000),
                     1,
                     moments(1772800000, 1772700000, 1772900000),
                     true};
    SensorHealth& health = view.sensors[0];
    health.usual_interval = minutes(15);
    health.battery_v = 3.9;
    health.arrived_share = 0.98;
    health.longest_gap = hours(1);
    view.reasons = {{Finding::falling, {{"fall_points", 12}}},
                    {Finding::hydrometers_disagree, {{"offset_points", 4}}, "hydrometer"}};
  }

  std::vector<BatchRecord> batches_;
};

}  // namespace gyle::test
