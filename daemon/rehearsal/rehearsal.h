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
  std::optional<Duration> interval;  // between messages of the hydrometer, and of the probe; 1 min to 6 h
  std::string hydrometer_sensor = "hydrometer";
  std::string probe_sensor = "probe";
};

// A made-up batch: the brewer's description, the sensors' messages, and the truth.
struct Rehearsal {
  BatchSpec spec;
  std::vector<RehearsedMessage> messages;  // in order of delivery, until the end of the record
  Truth truth;
};

// Deterministic: the same options give the same messages on every machine.
//   errors  Errc::not_found     unknown scenario
//           Errc::out_of_range  interval
//   tests   unit/rehearsal/rehearsal_test.cpp
Result<Rehearsal> rehearse(const RehearsalOptions& options);

}  // namespace gyle
