#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/time.h"

namespace gyle {

enum class AlertKind {
  fermentation_started,
  slow_start,
  step_due,
  step_not_held,
  temperature_out_of_range,
  stuck,
  final_gravity_stable,
  over_attenuated,
  sensor_silent,
  sensor_frozen,
  sensor_implausible,
  battery_low,
};

// The word used in configuration, JSON and topics: "fermentation-started", ...
const char* name(AlertKind kind);
std::optional<AlertKind> alert_kind_named(std::string_view text);

// RFC 5424 severities, most severe first.
enum class Severity { emergency, alert, critical, error, warning, notice, informational, debug };
const char* name(Severity severity);
Severity severity_of(AlertKind kind);

// The numbers a decision was made with, named "<quantity>_<unit>" where there is a unit, in the order in
// which a person would want to read them. Times are seconds since the epoch, named "..._time".
using Evidence = std::vector<std::pair<std::string, double>>;

// Something the core has concluded. (kind, sensor, step, occurrence) identify it within its batch: the same
// events always produce the same identities, so that a restart repeats nothing.
struct Decision {
  Time time;  // event time at which it was decided
  AlertKind kind;
  enum class State { raised, withdrawn } state = State::raised;
  int occurrence = 1;       // counts the raises of this kind (and sensor, step) in the batch
  std::optional<int> step;  // 1-based number of the hold that has ended; step_due and step_not_held
  std::string sensor;       // whom it is about; sensor_* and battery_low
  Evidence evidence;
};
const char* name(Decision::State state);

}  // namespace gyle
