#include "app/watch.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "app/past_reader.h"
#include "config/batch_file.h"
#include "fermentation/yeast_record.h"
#include "wording/format.h"

namespace gyle {
namespace {

std::string before_pitch(Time pitched, Time packaged, const DisplaySettings& display) {
  return fmt::format("a batch cannot be packaged before it was pitched: {} is before {}",
                     show_time_from(packaged, display, pitched), show_time_from(pitched, display, packaged));
}

}  // namespace

Watch::Watch(Database& database, AlertRouting routing, std::function<void()> on_queued)
    : journal_(database),
      batches_(database),
      past_batches_(database),
      log_(database),
      calibrations_(database),
      judging_(database),
      on_news_(std::move(on_queued)),
      alerts_(database, std::move(routing), vessels_, display_, on_news_),
      ended_(
          database, [this](const StoredBatch& batch) { return read(batch); },
          [this](const StoredBatch& batch, const Past& past) { keep_alerts_of_import(batch, past); }),
      ticks_(log_) {}

Status Watch::configure(std::vector<Vessel> vessels, DisplaySettings display) {
  vessels_ = Vessels(std::move(vessels));
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
  store_alerts();  // what was decided but not stored when the process ended
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

Status Watch::assign(std::int64_t batch, const std::string& vessel) {
  return log_.assign(batch, vessels_.sensors_of(vessel), newest_reading_);
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
    alerts_.add(batch, past.tracker.spec(), decisions);
    return continuity;
  }
  BOOST_OUTCOME_TRYV(alerts_.store());
  BOOST_OUTCOME_TRY(reported, alerts_.reported(batch.id));
  const Sequel next = sequel(reported, past.decisions, past.tracker.view().time);
  alerts_.add(batch, past.tracker.spec(), next.to_report);
  BOOST_OUTCOME_TRYV(alerts_.store());
  BOOST_OUTCOME_TRYV(judging_.settle(batch.id, next.continuity));
  return next.continuity;
}

Status Watch::re_evaluate(std::int64_t batch) {
  ended_.forget(batch);
  re_evaluations_.erase(batch);  // what is being read is out of date
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
  } else if (PastReader* const reader = ended_.reader()) {
    return re_evaluate_beside(*reader, *stored);  // and is done with then
  } else {
    BOOST_OUTCOME_TRYV(begin(*stored));
  }
  to_re_evaluate_.erase(batch);
  return success();
}

Status Watch::re_evaluate_beside(PastReader& reader, const StoredBatch& batch) {
  BOOST_OUTCOME_TRYV(assign(batch.id, batch.vessel));
  BOOST_OUTCOME_TRY(assignments, log_.assignments(batch.id));
  const std::uint64_t number = ++re_evaluations_begun_;
  re_evaluations_.insert_or_assign(batch.id, ReEvaluation{number, batch, assignments, {}});
  reader.read(
      batch,
      [this, id = batch.id, number](Result<Past>&& past) { was_re_evaluated(id, number, std::move(past)); },
      newest_reading_);
  return success();
}

void Watch::was_re_evaluated(std::int64_t batch, std::uint64_t number, Result<Past>&& past) {
  const auto found = re_evaluations_.find(batch);
  if (found != re_evaluations_.end() && found->second.number == number) {  // else it is out of date
    const ReEvaluation done = std::move(found->second);
    re_evaluations_.erase(found);
    if (const auto joined = past ? join(done, std::move(past.value())) : Status(past.error()); joined) {
      to_re_evaluate_.erase(batch);
    } else {
      spdlog::error("{}; it is tried again", joined.error().message);
    }
    on_news_();
  }
  ended_.call_waiting();
}

// As a restart would feed it: the ticks that the reader found already are not fed again.
Status Watch::join(const ReEvaluation& done, Past&& past) {
  const auto feed = [&past](const Event& event) {
    const Outcome outcome = past.tracker.advance(event);
    past.trace->add(outcome);
    past.decisions.insert(past.decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
  };
  for (const auto& one : done.since) {
    if (const auto* row = std::get_if<JournalRow>(&one)) {
      if (!past.first_fed) past.first_fed = row->id;
      as_judged(row->reading, curves_, feed);
    } else if (const Tick tick = std::get<Tick>(one);
               std::find(past.last_ticks.begin(), past.last_ticks.end(), tick.time) ==
               past.last_ticks.end()) {
      feed(tick);
    }
  }
  BOOST_OUTCOME_TRY(continuity, go_on(done.batch, past));
  open_.insert_or_assign(
      done.batch.id, Watched{done.batch, std::move(past.tracker), done.assignments, newest_reading_,
                             std::move(past.trace), continuity, std::move(past.decisions), past.first_fed});
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
  store_alerts();
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
  for (auto& [id, under_way] : re_evaluations_) {
    if (covers(under_way.assignments, row.reading.sensor, row.id)) under_way.since.emplace_back(row);
  }
}

// Ids are given in the order of commits, one writer at a time: all rows below an id already seen can be read.
bool Watch::catch_up() {
  RowQuery query;
  for (const auto& [id, watched] : open_) {
    for (const Assignment& a : watched.assignments) query.sensors.push_back(a.sensor);
  }
  for (const auto& [id, under_way] : re_evaluations_) {
    for (const Assignment& a : under_way.assignments) query.sensors.push_back(a.sensor);
  }
  const std::int64_t end = owed_up_to_;
  for (query.after_id = newest_reading_; query.after_id < end;) {
    const auto read = journal_.rows(query, [&](const JournalRow& row) {
      if (row.id <= end) feed(row);
    });
    if (!read) {
      spdlog::error("{}; it is tried again", read.error().message);
      store_alerts();
      return false;
    }
    if (read.value() == query.after_id) break;
    query.after_id = read.value();
  }
  newest_reading_ = end;
  store_alerts();
  return true;
}

void Watch::tick(Time now) {
  if (owed_up_to_ > newest_reading_ && !catch_up()) return;
  store_alerts();
  const auto set_back = ticks_.corrected_set_back(now);
  if (!set_back) {
    spdlog::error("{}; it is tried again", set_back.error().message);
    return;
  }
  if (set_back.value()) {
    for (const auto& [id, watched] : open_) to_re_evaluate_.insert(id);
    re_evaluations_.clear();  // by ticks that are gone
  }
  for (const std::int64_t batch : std::set(to_re_evaluate_)) {
    if (re_evaluations_.contains(batch)) continue;
    if (const auto judged = re_evaluate(batch); !judged) spdlog::error("{}", judged.error().message);
  }
  // Those who wait for something that was dropped ask again.
  if (re_evaluations_.empty() && !ended_.is_reading()) ended_.call_waiting();
  if ((open_.empty() && re_evaluations_.empty()) || !ticks_.is_due(now)) return;
  if (const auto stored = ticks_.store(newest_reading_, now); !stored) {
    spdlog::error("{}", stored.error().message);
    return;
  }
  for (auto& [id, watched] : open_) feed(watched, Tick{now});
  for (auto& [id, under_way] : re_evaluations_) under_way.since.emplace_back(Tick{now});
  store_alerts();
}

void Watch::feed(Watched& watched, const Event& event) {
  const Outcome outcome = watched.tracker.advance(event);
  watched.trace->add(outcome);
  watched.decisions.insert(watched.decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
  std::vector<Decision> decisions;
  for (const Decision& decision : outcome.decisions) decisions.push_back(watched.continuity.placed(decision));
  alerts_.add(watched.batch, watched.tracker.spec(), decisions);
}

// What cannot be stored is kept and logged.
void Watch::store_alerts() { static_cast<void>(alerts_.store()); }

Result<std::int64_t> Watch::pitch(const std::string& asked_for, const BatchSpec& spec) {
  BOOST_OUTCOME_TRY(vessel, vessels_.spelling(asked_for));
  StoredBatch batch;
  static_cast<NewBatch&>(batch) = {vessel, spec.name, spec.pitched, format_batch(spec)};
  BOOST_OUTCOME_TRY(id, batches_.pitch(batch, vessels_.sensors_of(vessel)));
  batch.id = id;
  if (const auto begun = begin(batch); !begun) {
    spdlog::error("{}; the batch \"{}\" is stored, and watched as soon as that works", begun.error().message,
                  batch.name);
    to_re_evaluate_.insert(id);
  }
  store_alerts();
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
  re_evaluations_.erase(batch);
  if (found != open_.end()) {
    if (!fed_beyond) feed(found->second, Packaged{time});
    if (ending) ended_.keep_trace(batch, found->second.trace);
    open_.erase(found);
  }
  store_alerts();
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
  if (!ended_.is_left_to_reader(batch)) {
    BOOST_OUTCOME_TRY(past, read(batch));
    ended_.keep(batch, past);
  }
  return id;
}

// Once: what it was when it was imported.
void Watch::keep_alerts_of_import(const StoredBatch& batch, const Past& past) {
  const auto imported = is_past(batch.id);
  const auto kept = alerts_.reported(batch.id);
  if (!imported || !kept) {
    spdlog::error("{}", imported ? kept.error().message : imported.error().message);
  } else if (imported.value() && kept.value().empty()) {
    alerts_.store_silently(batch, past.tracker.spec(), past.decisions);
  }
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
  store_alerts();
  return number;
}

Result<Outlook> Watch::outlook(std::int64_t batch, const WhatIf& question) const {
  const auto found = open_.find(batch);
  if (found == open_.end()) return fail(Errc::conflict, "the batch has left its vessel; nothing is to come");
  return found->second.tracker.outlook(question);
}

bool Watch::waits_for_correction(std::int64_t batch) const {
  return re_evaluations_.contains(batch) && (only_corrected_ || !open_.contains(batch));
}

Result<BatchView> Watch::view(const StoredBatch& batch) {
  if (waits_for_correction(batch.id)) return ended_.still_being_read();
  if (const auto open = open_.find(batch.id); open != open_.end()) return open->second.tracker.view();
  BOOST_OUTCOME_TRY(ended, ended_.ending(batch));
  return std::move(ended.view);
}

Result<std::optional<YeastRun>> Watch::yeast_run(const StoredBatch& batch) {
  if (!batch.packaged) return std::optional<YeastRun>();
  BOOST_OUTCOME_TRY(ended, ended_.ending(batch));
  return ended.run;
}

Result<std::shared_ptr<const BatchTrace>> Watch::trace(const StoredBatch& batch) {
  if (waits_for_correction(batch.id)) return ended_.still_being_read();
  if (const auto open = open_.find(batch.id); open != open_.end()) {
    return std::shared_ptr<const BatchTrace>(open->second.trace);
  }
  return ended_.trace(batch);
}

}  // namespace gyle
