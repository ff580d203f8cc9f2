#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "app/history.h"
#include "reports/ending_json.h"
#include "storage/batch_store.h"

namespace gyle {

class PastReader;

// The batches that no Tracker watches: how each ended, and its curve. Endings are stored, and a few curves are kept; what
// is in neither place is evaluated from the journal, by the reader beside the loop where there is one.
//   threads  one; `database` is its connection
//   tests    unit/app/watch_test.cpp
class EndedBatches {
 public:
  using Read = std::function<Result<Past>(const StoredBatch&)>;
  using Evaluated = std::function<void(const StoredBatch&, const Past&)>;

  // `read` evaluates a batch at once. `evaluated` is called before an ending that was made from the journal is stored.
  EndedBatches(Database& database, Read read, Evaluated evaluated);

  // From now on what has to be read of packaged batches is read by `reader`: ending() and trace() of such a batch are
  // Errc::unavailable until it has been read.
  void read_by(PastReader& reader) { reader_ = &reader; }
  PastReader* reader() const { return reader_; }
  // Whether a call was, since the last call of this; `again` is called once when more has been read.
  bool was_missing() { return std::exchange(missing_, false); }
  void when_read(std::function<void()> again) { waiting_.push_back(std::move(again)); }
  // The same for what others have the reader read.
  Error still_being_read();
  void call_waiting();
  bool is_reading() const { return !under_way_.empty(); }

  Result<BatchEnding> ending(const StoredBatch& batch);
  Result<std::shared_ptr<const BatchTrace>> trace(const StoredBatch& batch);

  // Whether the reader will evaluate it when it is asked for.
  bool is_left_to_reader(const StoredBatch& batch) const;
  // Keeps what is known already.
  BatchEnding keep(const StoredBatch& batch, const Past& past);
  void keep_trace(std::int64_t batch, std::shared_ptr<const BatchTrace> trace);
  // What is known of it, or being read, holds no longer.
  void forget(std::int64_t batch);

 private:
  Result<std::shared_ptr<const BatchTrace>> kept_course(std::int64_t batch);
  Error ask_reader(const StoredBatch& batch);
  void was_read(const StoredBatch& batch, std::uint64_t number, Result<Past>&& past);
  void trim_traces();

  BatchStore batches_;
  const Read read_;
  const Evaluated evaluated_;
  std::map<std::int64_t, BatchEnding> endings_;                                    // when first asked for
  std::deque<std::pair<std::int64_t, std::shared_ptr<const BatchTrace>>> traces_;  // the last asked for first
  PastReader* reader_ = nullptr;
  bool missing_ = false;
  std::uint64_t asked_ = 0;                          // times
  std::map<std::int64_t, std::uint64_t> under_way_;  // batches that the reader was asked for last, and when
  std::map<std::int64_t, Error> unreadable_;         // while those who wait are called
  std::vector<std::function<void()>> waiting_;
};

}  // namespace gyle
