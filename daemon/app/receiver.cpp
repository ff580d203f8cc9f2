#include "app/receiver.h"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "base/text.h"

namespace gyle {

Receiver::Receiver(Database database, int refusals_kept, int readings_per_hour, std::vector<Source> sources,
                   MessageClock* clock, Handlers handlers)
    : database_(std::move(database)),
      journal_(database_, refusals_kept),
      sources_(std::move(sources)),
      clock_(clock),
      handlers_(std::move(handlers)),
      readings_per_hour_(readings_per_hour) {}

Status Receiver::keep_waiting(const Error& error) {
  if (!complained_) {
    spdlog::error("{}; the broker is kept waiting until it works", error.message);
    handlers_.database(error.message);
    complained_ = true;
  }
  return error;
}

void Receiver::report_clock() {
  if (admission_->clock_shown_behind() == clock_reported_) return;
  clock_reported_ = admission_->clock_shown_behind();
  handlers_.clock(clock_reported_);
}

Status Receiver::take(const Message& arrived) {
  Message message = arrived;
  message.stamp_is_clock = clock_ != nullptr;
  Decoded whole = decode(message, sources_);
  if (clock_ != nullptr) {
    for (const Reading& reading : whole.readings) clock_->observe(reading.time);
    message.received = clock_->now();
  }
  if (!admission_) {
    auto begun = Admission::begin(journal_, readings_per_hour_, clock_ != nullptr);
    if (!begun) return keep_waiting(begun.error());
    admission_ = std::move(begun.value());
  }
  auto admitted = admission_->admit(message, std::move(whole));
  report_clock();
  BOOST_OUTCOME_TRY(decoded, std::move(admitted));
  auto rows = record(message, decoded);
  std::size_t refused = decoded.refusals.size();
  if (!rows && !rows.error().worth_retrying()) {
    if (const auto kept = refuse(message, rows.error().message); !kept) {
      rows = fail(Errc::storage, kept.error().message);
    } else {
      rows = std::vector<JournalRow>();
      refused = 1;
    }
  }
  if (!rows) return keep_waiting(rows.error());
  admission_->taken();
  if (complained_) {
    spdlog::info("the journal can be written again; what the broker kept meanwhile is read now");
    handlers_.database("");
    complained_ = false;
  }
  handlers_.received({std::move(rows.value()), refused, message.backlog, message.received});
  return success();
}

Status Receiver::refuse(const Message& message, const std::string& why) {
  const Refusal refusal{message.received, RefusalReason::not_storable, message.topic, "", why,
                        message.payload};
  BOOST_OUTCOME_TRYV(journal_.record(message, {{}, {refusal}}));
  spdlog::error("a message on {} is refused: {}", displayable(message.topic, 200), why);
  handlers_.unstorable();
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
