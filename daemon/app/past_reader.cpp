#include "app/past_reader.h"

namespace gyle {

PastReader::PastReader(std::filesystem::path database, std::function<void(std::function<void()>)> post)
    : path_(std::move(database)),
      post_(std::move(post)),
      thread_([this](const std::stop_token& stop) { work(stop); }) {}

PastReader::~PastReader() = default;

void PastReader::read(StoredBatch batch, Done done, std::int64_t up_to) {
  {
    const std::lock_guard lock(mutex_);
    jobs_.push_back({std::move(batch), std::move(done), up_to});
  }
  asked_.notify_one();
}

void PastReader::work(const std::stop_token& stop) {
  for (;;) {
    std::unique_lock lock(mutex_);
    if (!asked_.wait(lock, stop, [this] { return !jobs_.empty(); })) return;
    Job job = std::move(jobs_.front());
    jobs_.pop_front();
    lock.unlock();
    const auto past = std::make_shared<Result<Past>>(evaluate(job, stop));
    if (stop.stop_requested()) return;
    post_([past, done = std::move(job.done)] { done(std::move(*past)); });
  }
}

Result<Past> PastReader::evaluate(const Job& job, const std::stop_token& stop) const {
  BOOST_OUTCOME_TRY(database, Database::open_for_reading(path_, stop));
  Journal journal(database);
  WatchLog log(database);
  CalibrationStore calibrations(database);
  return read_past(journal, log, calibrations, job.batch, stop, job.up_to);
}

}  // namespace gyle
