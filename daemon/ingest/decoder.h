#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ingest/message.h"
#include "ingest/refusal.h"
#include "ingest/source.h"

namespace gyle {

constexpr std::size_t kRefusalsPerMessage = 32;

struct Decoded {
  std::vector<Reading> readings;
  std::vector<Refusal> refusals;
  // The latest time stamp in the message, believed or not, in the years 1970 to 2100; absent without any.
  std::optional<Time> newest_stamp = {};
};

// Decodes a message by the first source whose filter matches its topic. Never throws, whatever the payload;
// cost is linear in the payload, which is refused above 64 KiB. The readings returned are finite and
// plausible (ingest/plausibility.h); everything else is returned as refusals, the first kRefusalsPerMessage
// of them. Texts in refusals can be shown and put into JSON (base/text.h).
Decoded decode(const Message& message, std::span<const Source> sources);

// For a topic that no source matches: a ready-to-paste [[source]] block of the configuration that would read
// this payload, or empty when nothing in it looks like a reading.
std::string propose_source(const Message& message);

}  // namespace gyle
