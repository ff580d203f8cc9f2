#include "app/ended_batches.h"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "app/past_reader.h"

namespace gyle {
namespace {

// Of all curves together: some 40 MB at most, so that several can be looked at side by side.
constexpr std::size_t kPointsKept = 500'000;

}  // namespace

EndedBatches::EndedBatches(Database& database, Read read, Evaluated evaluated)
    : batches_(database), read_(std::move(read)), evaluated_(std::move(evaluated)) {}

Result<BatchEnding> EndedBatches::ending(const StoredBatch& batch) {
  if (const auto known = endings_.find(batch.id); known != endings_.end()) return known->second;
  BOOST_OUTCOME_TRY(kept, batches_.ending(batch.id));
  if (kept) {
    if (auto ending = parse_ending(kept->text)) return endings_[batch.id] = std::move(ending.value());
  }
  if (is_left_to_reader(batch)) return ask_reader(batch);
  BOOST_OUTCOME_TRY(past, read_(batch));
  keep_trace(batch.id, past.trace);
  if (batch.packaged) return keep(batch, past);
  return BatchEnding{past.tracker.view(), {}};  // stored, and not watched yet
}

// Should it not be stored, it is made again after the next start.
BatchEnding EndedBatches::keep(const StoredBatch& batch, const Past& past) {
  BatchEnding ending = ending_of(past);
  evaluated_(batch, past);
  if (const auto kept = batches_.keep(batch.id, stored_ending(ending, past.first_fed)); !kept) {
    spdlog::error("{}", kept.error().message);
  }
  return endings_[batch.id] = std::move(ending);
}

// Null when none is stored, or what is stored cannot be read.
Result<std::shared_ptr<const BatchTrace>> EndedBatches::kept_course(std::int64_t batch) {
  BOOST_OUTCOME_TRY(kept, batches_.course(batch));
  if (kept) {
    if (auto course = parse_course(*kept))
      return std::make_shared<const BatchTrace>(std::move(course.value()));
  }
  return std::shared_ptr<const BatchTrace>();
}

Result<std::shared_ptr<const BatchTrace>> EndedBatches::trace(const StoredBatch& batch) {
  const auto known =
      std::find_if(traces_.begin(), traces_.end(), [&](const auto& one) { return one.first == batch.id; });
  if (known != traces_.end()) {
    std::rotate(traces_.begin(), known, known + 1);
  } else {
    BOOST_OUTCOME_TRY(course, kept_course(batch.id));
    if (!course && is_left_to_reader(batch)) return ask_reader(batch);
    if (!course) {
      BOOST_OUTCOME_TRY(past, read_(batch));
      course = std::move(past.trace);
    }
    keep_trace(batch.id, std::move(course));
  }
  return traces_.front().second;
}

void EndedBatches::keep_trace(std::int64_t batch, std::shared_ptr<const BatchTrace> trace) {
  traces_.emplace_front(batch, std::move(trace));
  if (waiting_.empty()) trim_traces();
}

void EndedBatches::forget(std::int64_t batch) {
  endings_.erase(batch);
  under_way_.erase(batch);
  std::erase_if(traces_, [batch](const auto& one) { return one.first == batch; });
}

void EndedBatches::trim_traces() {
  std::size_t points = 0;
  for (const auto& [id, one] : traces_) points += one->size();
  while (points > kPointsKept && traces_.size() > 1) {
    points -= traces_.back().second->size();
    traces_.pop_back();
  }
}

bool EndedBatches::is_left_to_reader(const StoredBatch& batch) const {
  return reader_ != nullptr && batch.packaged;
}

Error EndedBatches::still_being_read() {
  missing_ = true;
  return {Errc::unavailable, "the batch is being read from the journal; ask again in a moment"};
}

Error EndedBatches::ask_reader(const StoredBatch& batch) {
  if (const auto known = unreadable_.find(batch.id); known != unreadable_.end()) return known->second;
  if (!under_way_.contains(batch.id)) {
    under_way_[batch.id] = ++asked_;
    reader_->read(batch, [this, batch, number = asked_](Result<Past>&& past) {
      was_read(batch, number, std::move(past));
    });
  }
  return still_being_read();
}

void EndedBatches::was_read(const StoredBatch& batch, std::uint64_t number, Result<Past>&& past) {
  const auto asked = under_way_.find(batch.id);
  if (asked != under_way_.end() && asked->second == number) {
    under_way_.erase(asked);
    if (past) {
      keep_trace(batch.id, past.value().trace);
      const auto kept = batches_.ending(batch.id);
      if (!kept || !kept.value()) keep(batch, past.value());
    } else {
      unreadable_.insert_or_assign(batch.id, past.error());
    }
  }
  call_waiting();
}

// What one of them needs of several batches stays until it has all.
void EndedBatches::call_waiting() {
  for (const auto& again : std::exchange(waiting_, {})) again();
  unreadable_.clear();
  if (waiting_.empty()) trim_traces();
}

}  // namespace gyle
