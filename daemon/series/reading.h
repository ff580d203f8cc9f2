#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/time.h"

namespace gyle {

enum class Quantity {
  gravity,              // specific gravity 20/20 degC
  inclination,          // degrees from vertical
  beer_temperature,     // degC
  ambient_temperature,  // degC
  battery,              // V
  sample,               // a gravity measured by hand, specific gravity 20/20 degC
};

// The word used in configuration, CSV and JSON: "gravity", "beer_temperature", ...
const char* name(Quantity quantity);
std::optional<Quantity> quantity_named(std::string_view text);

// How far a reading's time can be trusted.
enum class TimeQuality {
  stamped,  // the sensor's own plausible time stamp
  arrival,  // the moment it arrived, live
  backlog,  // arrived in a burst after an outage and carries no stamp: measured some time before
};
const char* name(TimeQuality quality);

// One quantity from one sensor at one time, in canonical units.
struct Reading {
  Time time;
  std::string sensor;
  Quantity quantity;
  double value;
  TimeQuality time_quality = TimeQuality::stamped;
};

}  // namespace gyle
