#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "series/reading.h"

namespace gyle {

// What a number means before it becomes canonical.
enum class Unit {
  specific_gravity,
  plato,
  kilogram_per_cubic_metre,  // density at 20 degC
  celsius,
  fahrenheit,
  kelvin,
  degree_angle,
  radian,
  volt,
  millivolt,
};

// One quantity of a JSON source: where it is and how to read it. The number is scaled, offset, then
// converted.
struct QuantityField {
  Quantity quantity;
  std::string pointer;  // RFC 6901; ignored by Format::number
  Unit unit;
  double scale = 1.0;
  double offset = 0.0;  // in `unit`, added after scaling
};

struct SensorFromLevel {
  std::size_t level;
};  // 0-based level of the topic
struct SensorFromPointer {
  std::string pointer;
};  // RFC 6901, a string or an integer
struct SensorNamed {
  std::string id;
};  // given in the configuration
using SensorId = std::variant<SensorFromLevel, SensorFromPointer, SensorNamed>;

enum class TimeFormat { arrival, rfc3339, epoch_seconds, epoch_milliseconds };

// How the messages of some topics become readings.
struct Source {
  enum class Format { senml, json, number };

  std::string filter;  // MQTT topic filter
  Format format = Format::senml;
  // senml: what precedes the last separator of the record's name (":" or "/") unless given.
  std::optional<SensorId> sensor;
  std::vector<QuantityField> fields;  // json: one or more; number: exactly one; senml: none
  TimeFormat time_format = TimeFormat::arrival;
  std::string time_pointer;
};

// Whether `topic` is matched by the MQTT topic filter (MQTT 5.0 section 4.7: + and #, $ topics apart).
bool topic_matches(std::string_view filter, std::string_view topic);

}  // namespace gyle
