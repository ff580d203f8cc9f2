#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "fermentation/batch.h"
#include "rehearsal/scenario.h"

namespace gyle {

struct RehearsalOptions {
  std::string scenario = "three-week";
  std::uint64_t seed = 1;
  Time pitched;
  std::optional<Duration> interval;  // between the float's messages, and the probe's; 1 min to 6 h
  std::string float_sensor = "float";
  std::string probe_sensor = "probe";
};

// A made-up batch: what the brewer says of it, what its sensors send, and what is true.
struct Rehearsal {
  BatchSpec spec;
  std::vector<RehearsedMessage> messages;  // in order of delivery; deliveries end with the record
  Truth truth;
};

// The same options give the same messages everywhere. Unknown scenario: Errc::not_found; an interval out of
// range: Errc::out_of_range.
Result<Rehearsal> rehearse(const RehearsalOptions& options);

}  // namespace gyle
