#include "app/watch.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <limits>

#include "app/past_reader.h"
#include "app/stored_decision.h"
#include "base/text.h"
#include "config/batch_file.h"
#include "notices/evidence_json.h"
#include "wording/alert_sentences.h"
#include "wording/format.h"
#include "wording/set_point_lines.h"

namespace gyle {
namespace {

// Ticks are stored, and the judgement looks at the clock on its own grid: more ticks would add nothing.
constexpr Duration kTickSpacing = minutes(5);

// A clock that is set back by less costs less than to evaluate everything again.
constexpr Duration kSetBack = minutes(10);
// At the start, the next stored tick is this far ahead of now only if the clock had leapt.
constexpr Duration kLeap = hours(1);

// Of packaged batches together: some 40 MB at most, so that several can be looked at side by side.
constexpr std::size_t kPointsRecalled = 500'000;

constexpr const char* kHand = "hand:";

std::string before_pitch(Time pitched, Time packaged, const DisplaySettings& display) {
  return fmt::format("a batch cannot be packaged before it was pitched: {} is before {}",
                     show_time_from(packaged, display, pitched), show_time_from(pitched, display, packaged));
}

// The journal's name for the hand samples of a vessel.
std::string hand_of(const std::string& vessel) { return kHand + vessel; }

}  // namespace

bool is_hand(const std::string& sensor) { return sensor.rfind(kHand, 0) == 0; }

Watch::Watch(Database& database, Addressees addressees, std::function<void()> on_queued)
    : journal_(database),
      batches_(database),
      past_batches_(database),
      outbox_(database),
      log_(database),
      calibrations_(database),
      judging_(database),
      addressees_(std::move(addressees)),
      on_queued_(std::move(on_queued)) {}

Status Watch::configure(std::vector<Vessel> vessels, DisplaySettings display) {
  vessels_ = std::move(vessels);
  display_ = std::move(display);
  for (auto& [id, watched] : open_) {
    BOOST_OUTCOME_TRY(assign(id, watched.batch.vessel));
    BOOST_OUTCOME_TRY(assignments, log_.assignments(id));
    watched.assignments = assignments;
  }
  return success();
}

Status Watch::open(bool damaged) {
  BOOST_OUTCOME_TRY(counts, journal_.counts());
  newest_reading_ = counts.readings;
  BOOST_OUTCOME_TRY(curves, calibrations_.in_force());
  curves_ = std::move(curves);
  BOOST_OUTCOME_TRY(batches, batches_.open());
  for (const StoredBatch& batch : batches) {
    if (const auto readable = spec(batch); !readable) {
      spdlog::error(
          "the batch \"{}\" in {} is not watched, for its description in the database cannot be read: {}. "
          "The batch and its readings are kept: put a description in its place with `gylekeeper amend {} "
          "--batch "
          "BATCH.toml`, or end it with `gylekeeper package {}`",
          batch.name, batch.vessel, readable.error().message, batch.id, batch.id);
      continue;
    }
    if (const auto begun = begin(batch); !begun) {
      if (!damaged) return begun.error();
      spdlog::error("the batch \"{}\" in {} is not watched: {}", batch.name, batch.vessel,
                    begun.error().message);
    }
  }
  store_pending();  // what was decided but not stored when the process ended
  return success();
}

Status Watch::begin(const StoredBatch& batch) {
  BOOST_OUTCOME_TRY(assign(batch.id, batch.vessel));
  BOOST_OUTCOME_TRY(past, read(batch));
  BOOST_OUTCOME_TRY(assignments, log_.assignments(batch.id));
  BOOST_OUTCOME_TRY(continuity, go_on(batch, past));
  open_.insert_or_assign(
      batch.id, Watched{batch, std::move(past.tracker), assignments, past.read_up_to, std::move(past.trace),
                        continuity, std::move(past.decisions), past.first_fed});
  // A pitch may have read further than the other batches: they catch up, so that no tick falls in between.
  owed_up_to_ = std::max(owed_up_to_, past.read_up_to);
  if (owed_up_to_ > newest_reading_) catch_up();
  return success();
}

std::vector<std::string> Watch::sensors_of(const std::string& vessel) const {
  std::vector<std::string> sensors{hand_of(vessel)};
  for (const Vessel& candidate : vessels_) {
    if (candidate.name != vessel) continue;
    sensors.insert(sensors.end(), candidate.sensors.begin(), candidate.sensors.end());
  }
  return sensors;
}

Status Watch::assign(std::int64_t batch, const std::string& vessel) {
  return log_.assign(batch, sensors_of(vessel), newest_reading_);
}

Result<BatchSpec> Watch::spec(const StoredBatch& batch) const { return spec_of(batch); }

Result<Past> Watch::read(const StoredBatch& batch) { return read_past(journal_, log_, calibrations_, batch); }

// Reports the decisions about a batch's past: the new ones, or after a re-evaluation those that changed.
Result<Continuity> Watch::go_on(const StoredBatch& batch, const Past& past) {
  BOOST_OUTCOME_TRY(due, judging_.due(batch.id));
  if (!due) {
    BOOST_OUTCOME_TRY(continuity, judging_.continuity(batch.id));
    std::vector<Decision> decisions;
    for (const Decision& decision : past.decisions) {
      if (decision.time > continuity.resumes_after) decisions.push_back(continuity.placed(decision));
    }
    say(batch, past.tracker.spec(), decisions);
    return continuity;
  }
  const auto all_stored = [this]() -> Status {
    store_pending();
    if (pending_.empty()) return success();
    return fail(Errc::unavailable, "the alerts cannot be stored; it is tried again");
  };
  BOOST_OUTCOME_TRYV(all_stored());
  BOOST_OUTCOME_TRY(reported, outbox_.alerts(batch.id));
  std::vector<Decision> decisions;
  for (const StoredAlert& alert : reported) {
    BOOST_OUTCOME_TRY(decision, stored_decision(alert));
    decisions.push_back(decision);
  }
  const Sequel next = sequel(decisions, past.decisions, past.tracker.view().time);
  say(batch, past.tracker.spec(), next.to_report);
  BOOST_OUTCOME_TRYV(all_stored());
  BOOST_OUTCOME_TRYV(judging_.settle(batch.id, next.continuity));
  return next.continuity;
}

Status Watch::re_evaluate(std::int64_t batch) {
  ended_.erase(batch);
  under_way_.erase(batch);  // what is being read is out of date
  recalled_.erase(std::remove_if(recalled_.begin(), recalled_.end(),
                                 [batch](const auto& one) { return one.first == batch; }),
                  recalled_.end());
  to_re_evaluate_.insert(batch);
  BOOST_OUTCOME_TRYV(judging_.call_for(batch));
  if (owed_up_to_ > newest_reading_ && !catch_up()) {
    return fail(Errc::unavailable, "the journal cannot be read; the batch is re-evaluated as soon as it can");
  }
  BOOST_OUTCOME_TRY(open, batches_.open());
  const auto stored =
      std::find_if(open.begin(), open.end(), [batch](const StoredBatch& one) { return one.id == batch; });
  if (stored == open.end()) {
    BOOST_OUTCOME_TRYV(log_.assign(batch, {}, newest_reading_));
    open_.erase(batch);
  } else {
    BOOST_OUTCOME_TRYV(begin(*stored));
  }
  to_re_evaluate_.erase(batch);
  return success();
}

void Watch::take(const JournalRow& row) {
  if (row.id <= newest_reading_) return;  // a sample that came after it has brought it along
  if (owed_up_to_ > newest_reading_) {
    owed_up_to_ = std::max(owed_up_to_, row.id);
    catch_up();
    return;
  }
  feed(row);
  store_pending();
}

void Watch::feed(const JournalRow& row) {
  newest_reading_ = row.id;
  for (auto& batch : open_) {
    Watched& watched = batch.second;
    if (row.id <= watched.read_up_to) continue;  // was in the journal before it came here
    if (!covers(watched.assignments, row.reading.sensor, row.id)) continue;
    if (!watched.first_fed) watched.first_fed = row.id;
    as_judged(row.reading, curves_, [&](const Reading& reading) { feed(watched, reading); });
  }
}

// Ids are given in the order of commits, one writer at a time: all rows below an id already seen can be read.
bool Watch::catch_up() {
  RowQuery query;
  for (const auto& [id, watched] : open_) {
    for (const Assignment& a : watched.assignments) query.sensors.push_back(a.sensor);
  }
  const std::int64_t end = owed_up_to_;
  for (query.after_id = newest_reading_; query.after_id < end;) {
    const auto read = journal_.rows(query, [&](const JournalRow& row) {
      if (row.id <= end) feed(row);
    });
    if (!read) {
      spdlog::error("{}; it is tried again", read.error().message);
      store_pending();
      return false;
    }
    if (read.value() == query.after_id) break;
    query.after_id = read.value();
  }
  newest_reading_ = end;
  store_pending();
  return true;
}

void Watch::tick(Time now) {
  if (owed_up_to_ > newest_reading_ && !catch_up()) return;
  store_pending();
  if (!correct_set_back(now)) return;
  for (const std::int64_t batch : std::set(to_re_evaluate_)) {
    if (const auto judged = re_evaluate(batch); !judged) spdlog::error("{}", judged.error().message);
  }
  if (open_.empty() || (last_tick_ && now - *last_tick_ < kTickSpacing)) return;
  // Stored before it is fed: a decision that it leads to must be led to again after a restart.
  if (const auto stored = log_.ticked({newest_reading_, now}); !stored) {
    spdlog::error("{}", stored.error().message);
    return;
  }
  last_tick_ = now;
  for (auto& [id, watched] : open_) feed(watched, Tick{now});
  store_pending();
}

// False: it could not be done, time must not go on.
bool Watch::correct_set_back(Time now) {
  Duration ahead{};
  if (last_tick_) {
    ahead = *last_tick_ - now;
    if (ahead <= kSetBack) return true;
  } else {
    if (std::exchange(clock_compared_, true)) return true;
    const auto next = log_.next_tick_ahead(now);
    if (!next) {
      spdlog::error("{}; it is tried again", next.error().message);
      clock_compared_ = false;
      return false;
    }
    ahead = next.value().value_or(Duration(0));
    if (ahead <= kLeap) return true;
  }
  const auto gone = log_.clock_set_back(now);
  if (!gone) {
    spdlog::error("{}; it is tried again", gone.error().message);
    clock_compared_ = clock_compared_ && last_tick_.has_value();
    return false;
  }
  last_tick_.reset();
  spdlog::warn(
      "the clock was ahead by {:.1f} h and has been set back. The time that it had shown is forgotten, {} "
      "readings that came meanwhile are dated now, and the batches are evaluated again",
      in_hours(ahead), gone.value().readings);
  for (const auto& [id, watched] : open_) to_re_evaluate_.insert(id);
  return true;
}

void Watch::feed(Watched& watched, const Event& event) {
  const Outcome outcome = watched.tracker.advance(event);
  watched.trace->add(outcome);
  watched.decisions.insert(watched.decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
  std::vector<Decision> decisions;
  for (const Decision& decision : outcome.decisions) decisions.push_back(watched.continuity.placed(decision));
  say(watched.batch, watched.tracker.spec(), decisions);
}

void Watch::say(const StoredBatch& stored, const BatchSpec& spec, const std::vector<Decision>& decisions) {
  for (const Decision& decision : decisions) {
    std::string sentence = alert_sentence(decision, spec, display_);
    for (const Vessel& vessel : vessels_) {
      if (vessel.name != stored.vessel || !vessel.set_point) continue;
      sentence += set_point_sentence(decision, spec, vessel.name, vessel.set_point->rule, display_);
    }
    NewAlert alert = alert_of(stored.id, decision, sentence, evidence_json(decision.evidence));
    alert.severity = addressees_.severity(alert.kind, alert.severity);
    pending_.push_back({std::move(alert), stored.vessel, spec.name});
  }
}

void Watch::store_pending() {
  bool news = false;
  while (!pending_.empty()) {
    const PendingAlert& one = pending_.front();
    const auto stored = outbox_.record(
        one.alert, addressees_.of(one.alert.severity, one.alert.kind, one.vessel, one.batch_name));
    if (!stored && stored.error().worth_retrying()) {
      spdlog::error("{}; it is tried again", stored.error().message);
      break;
    }
    // One that can never be stored must not stop those behind it.
    if (!stored) spdlog::error("{} This alert is lost: {}", one.alert.sentence, stored.error().message);
    news = news || (stored && stored.value().has_value());
    pending_.pop_front();
  }
  if (news) on_queued_();
}

// The configured spelling of a vessel's name; empty when there is none, or several that differ in case.
std::string Watch::vessel_named(const std::string& name) const {
  std::vector<std::string> alike;
  for (const Vessel& vessel : vessels_) {
    if (vessel.name == name) return name;
    if (folded(vessel.name) == folded(name)) alike.push_back(vessel.name);
  }
  return alike.size() == 1 ? alike.front() : "";
}

Result<std::int64_t> Watch::pitch(const std::string& asked_for, const BatchSpec& spec) {
  const std::string vessel = vessel_named(asked_for);
  if (vessel.empty()) {
    std::string names;
    for (const Vessel& v : vessels_) names += (names.empty() ? "" : ", ") + v.name;
    return fail(Errc::not_found,
                vessels_.empty() ? "no vessel is configured; add a [[vessel]] to the configuration"
                                 : fmt::format("no vessel is called \"{}\"; there is {}", asked_for, names));
  }
  StoredBatch batch;
  static_cast<NewBatch&>(batch) = {vessel, spec.name, spec.pitched, format_batch(spec)};
  BOOST_OUTCOME_TRY(id, batches_.pitch(batch, sensors_of(vessel)));
  batch.id = id;
  if (const auto begun = begin(batch); !begun) {
    spdlog::error("{}; the batch \"{}\" is stored, and watched as soon as that works", begun.error().message,
                  batch.name);
    to_re_evaluate_.insert(id);
  }
  store_pending();
  return id;
}

// The store refuses the same, but does not know how the brewer writes a time.
Status Watch::may_end(std::int64_t batch, Time time) {
  BOOST_OUTCOME_TRY(all, batches_.all());
  for (const StoredBatch& one : all) {
    if (one.id != batch) continue;
    if (one.packaged) {
      return fail(Errc::conflict, fmt::format("the batch \"{}\" was packaged on {} already", one.name,
                                              show_time_from(*one.packaged, display_, time)));
    }
    if (time < one.pitched) return fail(Errc::out_of_range, before_pitch(one.pitched, time, display_));
  }
  return success();
}

Status Watch::package(std::int64_t batch, Time time) {
  BOOST_OUTCOME_TRYV(may_end(batch, time));
  const auto found = open_.find(batch);
  // Entered late: what came after its end does not count, and the end is read again when it is asked for.
  const bool fed_beyond = found != open_.end() && time < found->second.tracker.view().time;
  std::optional<StoredEnding> ending;
  // The present evaluation of a batch that has to be re-evaluated is not stored as its end.
  if (found != open_.end() && !fed_beyond && !to_re_evaluate_.contains(batch)) {
    Watched& watched = found->second;
    Tracker last = watched.tracker;
    const Outcome outcome = last.advance(Packaged{time});
    BatchTrace trace = *watched.trace;
    trace.add(outcome);
    std::vector<Decision> decisions = watched.decisions;
    decisions.insert(decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
    const BatchView view = last.view();
    ending = stored_ending({view, gyle::yeast_run(last.spec(), view, decisions, trace.curve())},
                           watched.first_fed);
  }
  BOOST_OUTCOME_TRY(batches_.package(batch, time, newest_reading_, ending));
  to_re_evaluate_.erase(batch);
  if (found != open_.end()) {
    if (!fed_beyond) {
      feed(found->second, Packaged{time});
      recall(batch, found->second.trace);
    }
    open_.erase(found);
  }
  store_pending();
  return success();
}

Result<std::int64_t> Watch::add_past(const std::string& import, const std::string& vessel,
                                     const BatchSpec& spec, Time packaged) {
  if (packaged < spec.pitched) {
    return fail(Errc::out_of_range, before_pitch(spec.pitched, packaged, display_));
  }
  StoredBatch batch;
  static_cast<NewBatch&>(batch) = {vessel, spec.name, spec.pitched, format_batch(spec)};
  batch.packaged = packaged;
  batch.last_calibration = 0;
  BOOST_OUTCOME_TRY(id, past_batches_.add(batch, packaged, import));
  batch.id = id;
  BOOST_OUTCOME_TRY(past, read(batch));
  keep_end(batch, past);
  for (const Decision& decision : past.decisions) {
    const auto kept = outbox_.record(
        alert_of(id, decision, alert_sentence(decision, spec, display_), evidence_json(decision.evidence)),
        {});
    if (!kept)
      spdlog::error("an alert of the imported batch \"{}\" is not kept: {}", spec.name, kept.error().message);
  }
  return id;
}

Result<bool> Watch::is_past(std::int64_t batch) {
  BOOST_OUTCOME_TRY(assignments, log_.assignments(batch));
  return std::any_of(assignments.begin(), assignments.end(),
                     [](const Assignment& a) { return is_import_sensor(a.sensor); });
}

Status Watch::sample(std::int64_t batch, SpecificGravity gravity, Time taken, Time now) {
  const auto found = open_.find(batch);
  if (found == open_.end()) {
    return fail(Errc::conflict, "the batch has left its vessel; a sample changes nothing any more");
  }
  Message by_hand;
  by_hand.received = now;
  const Reading reading{taken, hand_of(found->second.batch.vessel), Quantity::sample, gravity.value()};
  BOOST_OUTCOME_TRY(rows, journal_.record(by_hand, {{reading}, {}}));
  if (rows.empty()) return fail(Errc::conflict, "this sample has been entered already");
  owed_up_to_ = std::max(owed_up_to_, rows.back().id);
  if (catch_up()) return success();
  return fail(Errc::unavailable,
              "the sample is kept, and will count as soon as the journal can be read again");
}

Result<std::int64_t> Watch::calibrate(const std::string& sensor, const std::optional<InclinationFit>& fit,
                                      Time now) {
  BOOST_OUTCOME_TRY(number, calibrations_.add(sensor, now, fit));
  if (fit) {
    curves_.insert_or_assign(sensor, fit->curve);
  } else {
    curves_.erase(sensor);
  }
  std::vector<std::int64_t> affected;
  for (const auto& [id, watched] : open_) {
    const auto& all = watched.assignments;
    if (std::any_of(all.begin(), all.end(), [&](const Assignment& a) { return a.sensor == sensor; })) {
      affected.push_back(id);
    }
  }
  for (const std::int64_t id : affected) {
    if (const auto judged = re_evaluate(id); !judged) spdlog::error("{}", judged.error().message);
  }
  store_pending();
  return number;
}

Result<Outlook> Watch::outlook(std::int64_t batch, const WhatIf& question) const {
  const auto found = open_.find(batch);
  if (found == open_.end()) return fail(Errc::conflict, "the batch has left its vessel; nothing is to come");
  return found->second.tracker.outlook(question);
}

Result<BatchView> Watch::view(const StoredBatch& batch) {
  if (const auto open = open_.find(batch.id); open != open_.end()) return open->second.tracker.view();
  BOOST_OUTCOME_TRY(ended, end_of(batch));
  return std::move(ended.view);
}

Result<BatchEnding> Watch::end_of(const StoredBatch& batch) {
  if (const auto ended = ended_.find(batch.id); ended != ended_.end()) return ended->second;
  BOOST_OUTCOME_TRY(kept, batches_.ending(batch.id));
  if (kept) {
    if (auto ending = parse_ending(kept->text)) return ended_[batch.id] = std::move(ending.value());
  }
  if (is_left_to_reader(batch)) return ask_reader(batch);
  BOOST_OUTCOME_TRY(past, read(batch));
  recall(batch.id, past.trace);
  if (batch.packaged) return keep_end(batch, past);
  return BatchEnding{past.tracker.view(), {}};  // stored, and not watched yet
}

// Should it not be stored, it is made again after the next start.
BatchEnding Watch::keep_end(const StoredBatch& batch, const Past& past) {
  BatchEnding ending = ending_of(past);
  if (const auto kept = batches_.keep(batch.id, stored_ending(ending, past.first_fed)); !kept) {
    spdlog::error("{}", kept.error().message);
  }
  return ended_[batch.id] = std::move(ending);
}

Result<std::optional<YeastRun>> Watch::yeast_run(const StoredBatch& batch) {
  if (!batch.packaged) return std::optional<YeastRun>();
  BOOST_OUTCOME_TRY(ended, end_of(batch));
  return ended.run;
}

Result<std::shared_ptr<const BatchTrace>> Watch::trace(const StoredBatch& batch) {
  if (const auto open = open_.find(batch.id); open != open_.end()) {
    return std::shared_ptr<const BatchTrace>(open->second.trace);
  }
  const auto known = std::find_if(recalled_.begin(), recalled_.end(),
                                  [&](const auto& one) { return one.first == batch.id; });
  if (known != recalled_.end()) {
    std::rotate(recalled_.begin(), known, known + 1);
  } else {
    BOOST_OUTCOME_TRY(kept, batches_.course(batch.id));
    if (kept) {
      if (auto course = parse_course(*kept)) {
        recall(batch.id, std::make_shared<const BatchTrace>(std::move(course.value())));
        return recalled_.front().second;
      }
    }
    if (is_left_to_reader(batch)) return ask_reader(batch);
    BOOST_OUTCOME_TRY(past, read(batch));
    recall(batch.id, std::move(past.trace));
  }
  return recalled_.front().second;
}

void Watch::recall(std::int64_t batch, std::shared_ptr<const BatchTrace> trace) {
  recalled_.emplace_front(batch, std::move(trace));
  if (waiting_.empty()) trim_recalled();
}

void Watch::trim_recalled() {
  std::size_t points = 0;
  for (const auto& [id, one] : recalled_) points += one->size();
  while (points > kPointsRecalled && recalled_.size() > 1) {
    points -= recalled_.back().second->size();
    recalled_.pop_back();
  }
}

bool Watch::is_left_to_reader(const StoredBatch& batch) const {
  return reader_ != nullptr && !at_once_ && batch.packaged;
}

Error Watch::ask_reader(const StoredBatch& batch) {
  if (const auto known = unreadable_.find(batch.id); known != unreadable_.end()) return known->second;
  missing_ = true;
  if (!under_way_.contains(batch.id)) {
    under_way_[batch.id] = ++asked_;
    reader_->read(batch, [this, batch, number = asked_](Result<Past>&& past) {
      was_read(batch, number, std::move(past));
    });
  }
  return {Errc::unavailable, "the batch is being read from the journal; ask again in a moment"};
}

// Those who wait are called here, so that what one of them needs of several batches stays until it has all.
void Watch::was_read(const StoredBatch& batch, std::uint64_t number, Result<Past>&& past) {
  const auto asked = under_way_.find(batch.id);
  if (asked != under_way_.end() && asked->second == number) {
    under_way_.erase(asked);
    if (past) {
      recall(batch.id, past.value().trace);
      const auto kept = batches_.ending(batch.id);
      if (!kept || !kept.value()) keep_end(batch, past.value());
    } else {
      unreadable_.insert_or_assign(batch.id, past.error());
    }
  }
  for (const auto& again : std::exchange(waiting_, {})) again();
  unreadable_.clear();
  if (waiting_.empty()) trim_recalled();
}

}  // namespace gyle
