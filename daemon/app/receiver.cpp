#include "app/receiver.h"

#include <spdlog/spdlog.h>

#include <algorithm>

namespace gyle {

Receiver::Receiver(Database database, int refusals_kept, int readings_per_hour, std::vector<Source> sources,
                   MessageClock* clock, std::function<void(Received&&)> on_received)
    : database_(std::move(database)),
      journal_(database_, refusals_kept),
      sources_(std::move(sources)),
      clock_(clock),
      on_received_(std::move(on_received)),
      readings_per_hour_(readings_per_hour) {}

Status Receiver::take(const Message& arrived) {
  Message message = arrived;
  message.stamp_is_clock = clock_ != nullptr;
  Decoded whole = decode(message, sources_);
  if (clock_ != nullptr) {
    for (const Reading& reading : whole.readings) clock_->observe(reading.time);
    message.received = clock_->now();
  }
  if (!admission_) {
    BOOST_OUTCOME_TRY(begun, Admission::begin(journal_, readings_per_hour_, clock_ != nullptr));
    admission_ = std::move(begun);
  }
  BOOST_OUTCOME_TRY(decoded, admission_->admit(message, std::move(whole)));
  auto rows = record(message, decoded);
  if (!rows) {
    if (rows.error().worth_retrying() && !complained_) {
      spdlog::error("{}; the broker is kept waiting until it works", rows.error().message);
      complained_ = true;
    }
    return rows.error();
  }
  admission_->taken();
  if (complained_) {
    spdlog::info("the journal can be written again; nothing is lost");
    complained_ = false;
  }
  on_received_({std::move(rows.value()), decoded.refusals.size(), message.backlog, message.received});
  return success();
}

Result<std::vector<JournalRow>> Receiver::record(const Message& message, const Decoded& decoded) {
  if (unrecorded_connection_) {
    BOOST_OUTCOME_TRY(journal_.connected(*unrecorded_connection_));
    unrecorded_connection_.reset();
  }
  return journal_.record(message, decoded);
}

}  // namespace gyle
