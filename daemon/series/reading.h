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

// The name in configuration, CSV and JSON: "gravity", "beer_temperature", ...
const char* name(Quantity quantity);
std::optional<Quantity> quantity_named(std::string_view text);

// Where a reading's time comes from.
enum class TimeQuality {
  stamped,  // the sensor's own time stamp, plausible
  arrival,  // time of arrival, live
  backlog,  // time of arrival in a burst after an outage, without a stamp: measured some time before
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
