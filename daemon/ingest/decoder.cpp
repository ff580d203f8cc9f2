#include "ingest/decoder.h"

#include <fmt/format.h>

#include <algorithm>

#include "ingest/intake.h"
#include "ingest/json_decoder.h"
#include "ingest/number_decoder.h"
#include "ingest/senml_decoder.h"

namespace gyle {

Decoded decode(const Message& message, std::span<const Source> sources) {
  Intake intake(message);
  const auto source = std::find_if(sources.begin(), sources.end(),
                                   [&](const Source& s) { return topic_matches(s.filter, message.topic); });
  if (source == sources.end()) {
    intake.refuse(RefusalReason::unmapped, "", "no source of the configuration has this topic");
  } else if (message.payload.size() + message.left_out > kLargestPayload) {
    intake.refuse(RefusalReason::too_large, "",
                  fmt::format("{} bytes; at most {} are read", message.payload.size() + message.left_out,
                              kLargestPayload));
  } else if (source->format == Source::Format::senml) {
    decode_senml(*source, intake);
  } else if (source->format == Source::Format::json) {
    decode_json(*source, intake);
  } else {
    decode_number(*source, intake);
  }
  return std::move(intake).result();
}

}  // namespace gyle
