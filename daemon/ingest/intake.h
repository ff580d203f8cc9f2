#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ingest/decoder.h"
#include "ingest/plausibility.h"

namespace gyle {

// When a reading was measured, and how far that can be trusted.
struct Measured {
  Time time;
  TimeQuality quality;
};

// A sensor's id: a name (base/text.h) of at most kLongestSensorId bytes.
constexpr std::size_t kLongestSensorId = 128;
bool is_sensor_id(std::string_view text);

// Gathers what one message yields: the only place where readings and refusals are made, so that every reading
// has passed the same checks whatever the format.
class Intake {
 public:
  explicit Intake(const Message& message) : message_(message) {}

  // The time of a message that carries none: its arrival, or `ago_s` seconds before. Absent, and refused, for
  // a retained message: its arrival says nothing.
  std::optional<Measured> unstamped(std::string_view sensor, double ago_s = 0);

  // The time of a message that carries one, in seconds since the epoch; any double. Absent, and refused as
  // bad_time, when it is implausible.
  std::optional<Measured> stamped(std::string_view sensor, double epoch_s);

  // One number in `unit` (which fits the quantity): a reading when it is plausible, else a refusal.
  void take(std::string_view sensor, Quantity quantity, double value, Unit unit, Measured measured);

  // Beyond kRefusalsPerMessage nothing is added: one bad message must not fill the journal.
  void refuse(RefusalReason reason, std::string_view sensor, std::string detail);

  // Whether this is a valid sensor id; refused as no_sensor if not.
  bool has_sensor(std::string_view sensor);

  const Message& message() const { return message_; }
  Decoded result() && { return std::move(decoded_); }

 private:
  const Message& message_;
  Decoded decoded_;
};

// The sensor's id where the source says it is; for a pointer `document` must be given. Absent, and refused as
// no_sensor, when it is not there.
struct JsonValue;
std::optional<std::string> sensor_of(const SensorId& where, const JsonValue* document, Intake& intake);

}  // namespace gyle
