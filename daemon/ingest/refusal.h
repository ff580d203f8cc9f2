#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/time.h"
#include "ingest/message.h"

namespace gyle {

enum class RefusalReason {
  too_large,      // payload over 64 KiB
  not_json,       // a JSON source sent something else
  not_a_number,   // text, NaN or infinity where a number is needed
  missing_field,  // a pointer of the source leads nowhere
  unknown_unit,   // a unit that does not fit the quantity
  out_of_range,   // not physically possible: 1050 sent as specific gravity, 300 degC
  probe_error,    // the value a probe sends when it has lost its wire: 85.0 or -127 degC
  bad_time,       // a time stamp of the far past or future, or no time stamp
  retained,       // a retained message without a time stamp of its own
  no_sensor,      // no sensor id where the source says it is
  bad_pack,       // SenML that breaks RFC 8428
  unmapped,       // no source is configured for the topic
  not_storable,   // the database can never store it
  too_many,       // the sensor sends more than the configured limit
};
const char* name(RefusalReason reason);
std::optional<RefusalReason> refusal_reason_named(std::string_view text);

// A message, or one quantity of it, that is not used.
struct Refusal {
  Time received;
  RefusalReason reason;
  std::string topic;
  std::string sensor;      // empty when unknown
  std::string detail;      // one sentence: what was found, what is expected
  std::string head;        // the first bytes of the payload, at most kRefusalHeadBytes
  std::int64_t times = 1;  // how many readings or messages this one stands for
};
constexpr std::size_t kRefusalHeadBytes = kPayloadHeadBytes;

}  // namespace gyle
