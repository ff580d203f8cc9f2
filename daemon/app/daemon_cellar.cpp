#include "app/daemon_cellar.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <limits>
#include <set>

#include "app/channels.h"
#include "app/sample_check.h"
#include "app/stored_decision.h"
#include "base/text.h"
#include "fermentation/set_point.h"
#include "notices/evidence_json.h"
#include "storage/past_batches.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kAll = 1'000'000'000;  // rows: more than there are

AlertMark mark_of(const StoredAlert& row) { return {row.id, row.over, row.acknowledged, row.snoozed_until}; }

}  // namespace

DaemonCellar::DaemonCellar(Watch& watch, Announcer& announcer, const AlertRouting& routing,
                           Database& database, const Clock& clock, Time running_since, std::string broker)
    : watch_(watch),
      announcer_(announcer),
      routing_(routing),
      clock_(clock),
      broker_(std::move(broker)),
      running_since_(running_since),
      journal_(database),
      batches_(database),
      outbox_(database),
      notes_(database),
      fills_(database),
      watch_log_(database),
      amendments_(database, watch),
      calibrations_(database) {}

Status DaemonCellar::open() {
  BOOST_OUTCOME_TRY(rows, journal_.newest_of_each());
  for (const JournalRow& row : rows) heard(row);
  return success();
}

void DaemonCellar::heard(const JournalRow& row) {
  if (row.reading.quantity == Quantity::sample) return;  // from a hand, not a sensor
  if (is_import_sensor(row.reading.sensor)) return;      // from a file
  newest_[row.reading.sensor].insert_or_assign(row.reading.quantity, row.reading);
}

DaemonRecord DaemonCellar::daemon() const {
  DaemonRecord record;
  record.version = GYLE_VERSION;
  record.broker = broker_;
  record.broker_connected = broker_connected_;
  record.now = clock_.now();
  record.running_since = running_since_;
  record.last_message = last_message_;
  record.database_trouble = database_trouble_;
  if (const auto counts = journal_.counts()) {
    record.readings = static_cast<std::uint64_t>(counts.value().readings);
    for (const auto& [reason, count] : counts.value().refusals)
      record.refusals += static_cast<std::uint64_t>(count);
  }
  return record;
}

SelfFacts DaemonCellar::self_facts() const {
  SelfFacts facts = look_at_self_ ? look_at_self_() : SelfFacts{};
  facts.broker.address = broker_;
  facts.database.trouble = database_trouble_;
  facts.vessels = watch_.vessels().size();
  for (const Vessel& vessel : watch_.vessels()) {
    for (const std::string& sensor : vessel.sensors) facts.vessel_sensors.emplace_back(vessel.name, sensor);
  }
  return facts;
}

Result<BatchRecord> DaemonCellar::record(const StoredBatch& batch) const {
  BatchRecord record{batch.id, batch.vessel, {}, batch.packaged, {}, {}};
  if (auto spec = watch_.spec(batch)) {
    record.spec = std::move(spec.value());
    BOOST_OUTCOME_TRY(view, watch_.view(batch));
    record.view = view;
  } else {
    record.spec.name = batch.name;
    record.spec.pitched = batch.pitched;
    record.view.time = batch.pitched;
    record.unreadable = spec.error().message.substr(0, spec.error().message.find('\n'));  // the first problem
  }
  return record;
}

std::vector<BatchRecord> DaemonCellar::batches() const { return records(batches_.all()); }
std::vector<BatchRecord> DaemonCellar::open_batches() const { return records(batches_.open()); }

std::vector<BatchRecord> DaemonCellar::records(const Result<std::vector<StoredBatch>>& all) const {
  std::vector<BatchRecord> records;
  if (!all) {
    spdlog::error("{}", all.error().message);
    return records;
  }
  for (const StoredBatch& batch : all.value()) {
    if (auto one = record(batch)) {
      records.push_back(std::move(one.value()));
    } else if (one.error().code != Errc::unavailable) {
      spdlog::error("batch {}: {}", batch.id, one.error().message);
    }
  }
  std::stable_sort(records.begin(), records.end(), [](const BatchRecord& a, const BatchRecord& b) {
    return a.spec.pitched < b.spec.pitched;
  });
  return records;
}

std::vector<std::string> DaemonCellar::vessels() const {
  std::vector<std::string> names;
  for (const Vessel& vessel : watch_.vessels()) names.push_back(vessel.name);
  return names;
}

std::optional<SensorRecord> DaemonCellar::sensor(const std::string& id) const {
  const auto heard = newest_.find(id);
  if (heard == newest_.end()) return std::nullopt;
  SensorRecord one;
  one.sensor = id;
  for (const Vessel& vessel : watch_.vessels()) {
    if (std::find(vessel.sensors.begin(), vessel.sensors.end(), id) != vessel.sensors.end()) {
      one.vessel = vessel.name;
    }
  }
  for (const auto& [quantity, reading] : heard->second) one.newest.push_back(reading);
  const auto curve = watch_.curves().find(id);
  if (curve != watch_.curves().end()) one.curve = curve->second;
  return one;
}

std::vector<SensorRecord> DaemonCellar::sensors(const std::optional<SensorPlace>& after,
                                                std::size_t at_most) const {
  std::set<std::string> in_vessels;
  for (const Vessel& vessel : watch_.vessels())
    in_vessels.insert(vessel.sensors.begin(), vessel.sensors.end());
  std::vector<SensorRecord> records;
  const auto add = [&](const std::string& id) {
    if (auto one = sensor(id)) records.push_back(std::move(*one));
  };
  for (const std::string& id : in_vessels) {
    if (records.size() == at_most) return records;
    if (!after || SensorPlace{false, id} > *after) add(id);
  }
  const bool begun = after && after->loose;
  for (auto heard = begun ? newest_.upper_bound(after->sensor) : newest_.begin();
       heard != newest_.end() && records.size() < at_most; ++heard) {
    if (!in_vessels.contains(heard->first)) add(heard->first);
  }
  return records;
}

Status DaemonCellar::forget_sensor(const std::string& sensor) {
  if (newest_.find(sensor) == newest_.end()) {
    return fail(Errc::not_found, fmt::format("no sensor called \"{}\" has been heard", sensor));
  }
  BOOST_OUTCOME_TRY(all, batches_.all());
  for (const StoredBatch& batch : all) {
    if (batch.packaged) continue;
    BOOST_OUTCOME_TRY(assignments, watch_log_.assignments(batch.id));
    for (const Assignment& one : assignments) {
      if (one.sensor != sensor || one.until_reading != std::numeric_limits<std::int64_t>::max()) continue;
      return fail(
          Errc::conflict,
          fmt::format(
              "{} is in use: it measures \"{}\" in {}; take it out of the vessel in the configuration "
              "first",
              sensor, batch.name, batch.vessel));
    }
  }
  BOOST_OUTCOME_TRYV(journal_.forget(sensor));
  newest_.erase(sensor);
  return success();
}

RefusalSummary DaemonCellar::refusals(std::size_t at_most) const {
  RefusalSummary summary;
  const auto counts = journal_.counts();
  const auto rows = journal_.recent_refusals(static_cast<int>(at_most));
  if (!counts || !rows) {
    spdlog::error("{}", counts ? rows.error().message : counts.error().message);
    return summary;
  }
  for (const auto& [reason, count] : counts.value().refusals) {
    if (const auto known = refusal_reason_named(reason)) {
      summary.counts.emplace_back(*known, static_cast<std::uint64_t>(count));
    }
  }
  for (const RefusalRow& row : rows.value()) {
    if (const auto known = refusal_reason_named(row.reason)) {
      summary.newest.push_back({row.received, *known, row.topic, row.sensor, row.detail, row.head});
    }
  }
  return summary;
}

Result<std::vector<YeastHistory>> DaemonCellar::yeasts() const {
  BOOST_OUTCOME_TRY(all, batches_.all());
  std::stable_sort(all.begin(), all.end(),
                   [](const StoredBatch& a, const StoredBatch& b) { return a.pitched < b.pitched; });
  std::map<std::string, YeastHistory> by_key;
  for (const StoredBatch& batch : all) {
    const auto spec = watch_.spec(batch);
    const std::string key = spec ? folded(spec.value().yeast.name) : "";
    if (key.empty()) continue;
    YeastHistory& yeast = by_key[key];
    yeast.name = single_spaced(spec.value().yeast.name);
    BOOST_OUTCOME_TRY(run, watch_.yeast_run(batch));
    if (run) {
      yeast.batches.push_back({batch.id, batch.name, batch.pitched, *run});
    } else {
      ++yeast.others;
    }
  }
  std::vector<YeastHistory> yeasts;
  for (auto& [key, yeast] : by_key) yeasts.push_back(std::move(yeast));
  return yeasts;
}

Status DaemonCellar::learn_band(Yeast& yeast) const {
  const std::string key = folded(yeast.name);
  if (key.empty()) return success();
  BOOST_OUTCOME_TRY(known, yeasts());
  for (const YeastHistory& one : known) {
    if (folded(one.name) != key || one.batches.empty()) continue;
    std::vector<double> halves;
    for (const YeastHistory::Batch& batch : one.batches) {
      if (batch.run.half_hours) halves.push_back(*batch.run.half_hours);
    }
    if (!halves.empty() && yeast.half_low_h == 0) {
      const HalfTime half = expected_half_time(halves);
      yeast.half_low_h = half.low_h;
      yeast.half_high_h = half.high_h;
    }
    if (yeast.attenuation_given) continue;
    const AttenuationBand band = expected_band(one);
    yeast.attenuation_low = band.low;
    yeast.attenuation_high = band.high;
    yeast.attenuation_batches = static_cast<int>(one.batches.size());
  }
  return success();
}

Result<BatchRecord> DaemonCellar::pitch(const std::string& vessel, const BatchSpec& described) {
  BatchSpec spec = described;
  BOOST_OUTCOME_TRYV(learn_band(spec.yeast));
  BOOST_OUTCOME_TRY(id, watch_.pitch(vessel, spec));
  BOOST_OUTCOME_TRY(batch, stored(id));
  return record(batch);
}

Result<std::size_t> DaemonCellar::import_readings(const std::string& import,
                                                  const std::vector<Reading>& readings) {
  BOOST_OUTCOME_TRY(now, this->now("import after the first message,"));
  Decoded decoded{readings, {}};
  for (Reading& reading : decoded.readings) {
    if (reading.time > now) {
      return fail(Errc::out_of_range, fmt::format("a reading at {} lies in the future; it is {} now",
                                                  show_time_from(reading.time, watch_.display(), now),
                                                  show_time(now, watch_.display())));
    }
    reading.sensor = import_sensor(import);
    reading.time_quality = TimeQuality::stamped;
  }
  Message from_file;
  from_file.received = now;
  BOOST_OUTCOME_TRY(rows, journal_.record(from_file, decoded));
  return rows.size();
}

Result<BatchRecord> DaemonCellar::import_batch(const std::string& import, const std::string& vessel,
                                               const BatchSpec& described, Time packaged) {
  BOOST_OUTCOME_TRY(now, this->now("import after the first message,"));
  if (packaged > now) {
    return fail(Errc::out_of_range,
                "a batch that is imported has been packaged; that time lies in the future");
  }
  const auto waiting = to_be_shown_.find(import);
  if (waiting != to_be_shown_.end() && waiting->second.name == described.name &&
      waiting->second.pitched == described.pitched && waiting->second.packaged == packaged) {
    return shown(import, waiting->second.id);
  }
  BatchSpec spec = described;
  BOOST_OUTCOME_TRYV(learn_band(spec.yeast));
  BOOST_OUTCOME_TRY(id, watch_.add_past(import, vessel, spec, packaged));
  return shown(import, id);
}

Result<BatchRecord> DaemonCellar::shown(const Change& change, std::int64_t id) {
  BOOST_OUTCOME_TRY(batch, stored(id));
  auto made = record(batch);
  if (!made && made.error().code == Errc::unavailable) {
    to_be_shown_.insert_or_assign(change, batch);
  } else {
    to_be_shown_.erase(change);
  }
  return made;
}

Result<BatchRecord> DaemonCellar::package(std::int64_t batch, std::optional<Time> time) {
  if (!time) {
    BOOST_OUTCOME_TRY(now, this->now("say when it was packaged"));
    time = now;
  }
  const auto waiting = to_be_shown_.find(batch);
  BOOST_OUTCOME_TRY(present, stored(batch));
  if (waiting == to_be_shown_.end() || !present.packaged || waiting->second.packaged != present.packaged) {
    BOOST_OUTCOME_TRYV(watch_.package(batch, *time));
  }
  return shown(batch, batch);
}

Result<std::shared_ptr<const BatchTrace>> DaemonCellar::trace(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  return watch_.trace(known);
}

Result<std::vector<JournalEntry>> DaemonCellar::readings(std::int64_t batch, std::int64_t after,
                                                         std::size_t at_most) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(assignments, watch_log_.assignments(batch));
  return rows(known, assignments, after, at_most);
}

Result<std::vector<JournalEntry>> DaemonCellar::rows(const StoredBatch& known,
                                                     const std::vector<Assignment>& assignments,
                                                     std::int64_t after, std::size_t at_most) const {
  RowQuery query;
  BOOST_OUTCOME_TRY(span, watch_log_.span(known.id));
  query.until_id = span.until;
  after = std::max(after, span.after);
  for (const Assignment& one : assignments) query.sensors.push_back(one.sensor);
  query.received_from = known.pitched - minutes(10);  // as the judgement reads it (app/history.h)
  query.limit = static_cast<std::int64_t>(at_most);
  std::vector<JournalEntry> entries;
  for (std::int64_t before = -1; before != after && entries.size() < at_most;) {
    before = query.after_id = after;
    BOOST_OUTCOME_TRY(read_up_to, journal_.rows(query, [&](const JournalRow& row) {
      const bool used = covers(assignments, row.reading.sensor, row.id);
      const bool in_vessel = !known.packaged || row.reading.time <= *known.packaged;
      if (used && in_vessel && entries.size() < at_most)
        entries.push_back({row.id, row.received, row.reading});
    }));
    after = read_up_to;
  }
  return entries;
}

Result<std::vector<ReportedAlert>> DaemonCellar::alerts(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(rows, outbox_.alerts(batch));
  const auto spec = watch_.spec(known);
  const auto view = watch_.view(known);
  std::vector<ReportedAlert> reported;
  for (const StoredAlert& row : rows) {
    BOOST_OUTCOME_TRY(decision, stored_decision(row));
    const bool carried_out =
        decision.kind == AlertKind::step_due && decision.step && spec && view &&
        step_carried_out(spec.value(), view.value().holds_over, view.value().temperature, *decision.step);
    reported.push_back({std::move(decision), row.sentence, mark_of(row)});
    reported.back().mark.over = row.over || carried_out;
  }
  return reported;
}

Result<std::vector<SystemAlert>> DaemonCellar::system_alerts(int newest,
                                                             std::optional<std::int64_t> before) const {
  BOOST_OUTCOME_TRY(rows, outbox_.system_alerts(newest, before));
  std::vector<SystemAlert> words;
  for (const StoredAlert& row : rows) {
    words.push_back({row.time, row.kind, row.severity, row.state, row.sentence, mark_of(row)});
  }
  return words;
}

Result<StoredAlert> DaemonCellar::remindable(std::int64_t id) const {
  BOOST_OUTCOME_TRY(alert, outbox_.alert(id));
  if (alert.state == Decision::State::withdrawn || alert.over) {
    return fail(Errc::conflict, fmt::format("alert {} is over; nobody will be reminded of it", id));
  }
  return alert;
}

Result<std::string> DaemonCellar::acknowledge(std::int64_t id) {
  BOOST_OUTCOME_TRY(alert, remindable(id));
  BOOST_OUTCOME_TRYV(outbox_.acknowledge(id, clock_.now()));
  return alert.sentence;
}

Result<std::string> DaemonCellar::snooze(std::int64_t id, Time until) {
  BOOST_OUTCOME_TRY(alert, remindable(id));
  if (until <= clock_.now())
    return fail(Errc::out_of_range, "that time has passed already; give a later one");
  BOOST_OUTCOME_TRYV(outbox_.snooze(id, until));
  return alert.sentence;
}

Result<std::vector<ChannelReport>> DaemonCellar::channels() const {
  BOOST_OUTCOME_TRY(records, outbox_.channels());
  std::vector<ChannelReport> reports;
  for (const ChannelSettings& channel : routing_.channels()) {
    ChannelReport& report = reports.emplace_back();
    report.name = channel.name;
    report.kind = kind_of(channel);
    for (const ChannelRecord& record : records) {
      if (record.channel != channel.name) continue;
      report.waiting = record.waiting;
      report.refused = record.refused;
      report.delivered_last = record.delivered_last;
      report.trouble = record.trouble;
    }
  }
  return reports;
}

Status DaemonCellar::known_channel(const std::string& channel) const {
  std::string names;
  for (const std::string& name : routing_.names()) {
    if (name == channel) return success();
    names += (names.empty() ? "" : ", ") + name;
  }
  return fail(Errc::not_found, fmt::format("no channel is called \"{}\"; there is {}", channel, names));
}

Result<std::int64_t> DaemonCellar::test_channel(const std::string& channel) {
  BOOST_OUTCOME_TRYV(known_channel(channel));
  return announcer_.test(channel, clock_.now(), watch_.display());
}

Result<Fate> DaemonCellar::fate(std::int64_t alert, const std::string& channel) const {
  BOOST_OUTCOME_TRYV(known_channel(channel));
  BOOST_OUTCOME_TRY(fate, outbox_.fate(alert, channel));
  return Fate{fate.outcome, fate.attempts, fate.answer};
}

Result<std::int64_t> DaemonCellar::retry_channel(const std::string& channel) {
  BOOST_OUTCOME_TRYV(known_channel(channel));
  BOOST_OUTCOME_TRY(again, outbox_.retry(channel));
  announcer_.wake();
  return again;
}

Result<Outlook> DaemonCellar::outlook(std::int64_t batch, const WhatIf& question) const {
  return watch_.outlook(batch, question);
}

Result<BatchRecord> DaemonCellar::sample(std::int64_t batch, SpecificGravity gravity,
                                         std::optional<Time> taken) {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(spec, watch_.spec(known));
  BOOST_OUTCOME_TRY(now, this->now("enter the sample after the first message"));
  const Time time = taken.value_or(now);
  BOOST_OUTCOME_TRYV(check_sample(spec, gravity, time, now, watch_.display()));
  BOOST_OUTCOME_TRYV(watch_.sample(batch, gravity, time, now));
  return record(known);
}

Result<SetPointReport> DaemonCellar::set_point(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(record, this->record(known));
  return set_points_ == nullptr ? Result<SetPointReport>(SetPointReport{}) : set_points_->report(record);
}

Result<SetPointReport> DaemonCellar::confirm_set_point(std::int64_t batch, std::optional<int> step) {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(record, this->record(known));
  if (set_points_ == nullptr) return fail(Errc::conflict, "no thermostat is asked for anything");
  return set_points_->confirm(record, step);
}

Result<std::vector<JournalEntry>> DaemonCellar::samples(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(assignments, watch_log_.assignments(batch));
  const auto measured = [](const Assignment& one) { return !is_hand(one.sensor); };
  assignments.erase(std::remove_if(assignments.begin(), assignments.end(), measured), assignments.end());
  return rows(known, assignments, 0, kAll);
}

Result<std::vector<CalibrationRecord>> DaemonCellar::calibrations(const std::string& sensor) const {
  BOOST_OUTCOME_TRY(stored, calibrations_.of(sensor));
  std::vector<CalibrationRecord> records;
  for (StoredCalibration& one : stored) records.push_back({one.id, one.made, std::move(one.fit)});
  return records;
}

Result<PairedSamples> DaemonCellar::paired_samples(std::int64_t batch, const std::string& sensor) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(assignments, watch_log_.assignments(batch));
  const auto other = [&](const Assignment& one) { return one.sensor != sensor; };
  assignments.erase(std::remove_if(assignments.begin(), assignments.end(), other), assignments.end());
  if (assignments.empty()) {
    return fail(
        Errc::not_found,
        fmt::format("{} was not in the vessel of \"{}\"; its inclinations say nothing of those samples",
                    sensor, known.name));
  }
  BOOST_OUTCOME_TRY(measured, rows(known, assignments, 0, kAll));
  BOOST_OUTCOME_TRY(by_hand, samples(batch));
  const auto readings_of = [](const std::vector<JournalEntry>& entries) {
    std::vector<Reading> readings;
    for (const JournalEntry& one : entries) readings.push_back(one.reading);
    return readings;
  };
  return gyle::paired_samples(readings_of(by_hand), readings_of(measured));
}

Result<CalibrationRecord> DaemonCellar::calibrate(const std::string& sensor,
                                                  const std::optional<InclinationFit>& fit) {
  BOOST_OUTCOME_TRY(now, this->now("calibrate after the first message"));
  BOOST_OUTCOME_TRY(number, watch_.calibrate(sensor, fit, now));
  return CalibrationRecord{number, now, fit};
}

Result<std::vector<Note>> DaemonCellar::notes(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(rows, notes_.of(batch));
  std::vector<Note> notes;
  for (StoredNote& row : rows) notes.push_back({row.id, row.time, std::move(row.text), row.tasting});
  return notes;
}

Result<Note> DaemonCellar::note(std::int64_t batch, const std::string& text, std::optional<Time> time,
                                bool tasting) {
  BOOST_OUTCOME_TRYV(stored(batch));
  BOOST_OUTCOME_TRY(now, this->now("write the note after the first message,"));
  if (time && *time > now) {
    return fail(Errc::out_of_range,
                fmt::format("a note about {} lies in the future; it is {} now",
                            show_time(*time, watch_.display()), show_time(now, watch_.display())));
  }
  const Time about = time.value_or(now);
  BOOST_OUTCOME_TRY(id, notes_.add(batch, about, text, tasting));
  return Note{id, about, text, tasting};
}

Result<std::vector<NumberedFill>> DaemonCellar::fills(std::int64_t batch) const {
  BOOST_OUTCOME_TRYV(stored(batch));
  BOOST_OUTCOME_TRY(rows, fills_.of(batch));
  std::vector<NumberedFill> fills;
  for (const StoredFill& row : rows) fills.push_back({row.id, row.fill});
  return fills;
}

Result<std::vector<BatchRecord>> DaemonCellar::filled_last(int at_most) const {
  BOOST_OUTCOME_TRY(ids, fills_.batches_filled_last(at_most));
  std::vector<BatchRecord> batches;
  for (const std::int64_t id : ids) {
    BOOST_OUTCOME_TRY(known, stored(id));
    BatchRecord batch;
    batch.id = id;
    batch.vessel = known.vessel;
    batch.spec.name = known.name;
    batch.spec.pitched = known.pitched;
    batch.packaged = known.packaged;
    batches.push_back(std::move(batch));
  }
  return batches;
}

Result<NumberedFill> DaemonCellar::add_fill(std::int64_t batch, const Fill& fill) {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(now, this->now("enter the fill after the first message,"));
  BOOST_OUTCOME_TRYV(check_fill(fill));
  if (!known.packaged) {
    return fail(Errc::conflict, "it is still in its vessel; package it first");
  }
  if (fill.time > now || fill.time < known.pitched) {
    return fail(Errc::out_of_range, fmt::format("{} is {}", show_time_from(fill.time, watch_.display(), now),
                                                fill.time > now ? "in the future" : "before the pitch"));
  }
  BOOST_OUTCOME_TRY(id, fills_.add(batch, fill));
  return NumberedFill{id, fill};
}

Status DaemonCellar::take_back_fill(std::int64_t batch, std::int64_t fill) {
  return fills_.take_back(batch, fill);
}

Result<std::vector<Amendment>> DaemonCellar::amendments(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  return amendments_.of(known);
}

Result<Amendment> DaemonCellar::amend(std::int64_t batch, AmendedThing thing, std::int64_t number,
                                      const Entry& after) {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(now, this->now("put it right after the first message"));
  return amendments_.amend(known, thing, number, after, now);
}

Result<Amendment> DaemonCellar::undo(std::int64_t batch, std::optional<std::int64_t> amendment) {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(now, this->now("undo it after the first message"));
  return amendments_.undo(known, amendment, now);
}

Result<Time> DaemonCellar::now(const char* else_do) const {
  if (const Time now = clock_.now(); now != Time{}) return now;
  return fail(Errc::conflict,
              fmt::format("the daemon does not know what time it is: it runs with --clock-follows-messages, "
                          "and no message has come since it started; {}",
                          else_do));
}

Result<StoredBatch> DaemonCellar::stored(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(all, batches_.all());
  for (const StoredBatch& one : all) {
    if (one.id == batch) return one;
  }
  return fail(Errc::not_found, fmt::format("there is no batch number {}", batch));
}

}  // namespace gyle
