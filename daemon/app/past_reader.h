#pragma once

#include <condition_variable>
#include <deque>
#include <filesystem>
#include <functional>
#include <mutex>
#include <thread>

#include "app/history.h"

namespace gyle {

// Evaluates batches from the journal on a thread of its own, with its own connection to the database, so that
// the loop goes on meanwhile. In the order of asking.
//   stop     the destructor ends an evaluation within some thousand readings
//   threads  the loop's; `done` is called there, by `post`
class PastReader {
 public:
  using Done = std::function<void(Result<Past>&&)>;

  PastReader(std::filesystem::path database, std::function<void(std::function<void()>)> post);
  ~PastReader();
  PastReader(const PastReader&) = delete;
  PastReader& operator=(const PastReader&) = delete;

  // Of readings up to number `up_to`.
  void read(StoredBatch batch, Done done, std::int64_t up_to = kAllReadings);

 private:
  struct Job {
    StoredBatch batch;
    Done done;
    std::int64_t up_to;
  };
  void work(const std::stop_token& stop);
  Result<Past> evaluate(const Job& job, const std::stop_token& stop) const;

  const std::filesystem::path path_;
  const std::function<void(std::function<void()>)> post_;
  std::mutex mutex_;
  std::condition_variable_any asked_;
  std::deque<Job> jobs_;
  std::jthread thread_;  // last: it uses the others
};

}  // namespace gyle
