#pragma once

#include <span>
#include <string>
#include <vector>

#include "ingest/message.h"
#include "ingest/refusal.h"
#include "ingest/source.h"

namespace gyle {

struct Decoded {
  std::vector<Reading> readings;
  std::vector<Refusal> refusals;
};

// What a message says, by the first source whose filter matches its topic. Never throws, whatever the
// payload; cost is linear in the payload, which is refused above 64 KiB. Every number is finite and plausible
// (ingest/plausibility.h) in the readings that come out; all else comes out as refusals.
Decoded decode(const Message& message, std::span<const Source> sources);

// For a topic that no source matches: a ready-to-paste [[source]] block of the configuration that would read
// this payload, or empty when nothing in it looks like a reading.
std::string propose_source(const Message& message);

}  // namespace gyle
