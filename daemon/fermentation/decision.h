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
  gravity_jumped,
};

// The word used in configuration, JSON and topics: "fermentation-started", ...
const char* name(AlertKind kind);
std::optional<AlertKind> alert_kind_named(std::string_view text);

// RFC 5424 severities, most severe first.
enum class Severity { emergency, alert, critical, error, warning, notice, informational, debug };
const char* name(Severity severity);
std::optional<Severity> severity_named(std::string_view text);
Severity severity_of(AlertKind kind);

// The numbers behind a decision, named "<quantity>_<unit>" where there is a unit, in the order in which a
// person would want to read them. Times are seconds since the epoch, named "..._time".
// What each kind carries at least (sentences rely on it; [x] = only when known):
//   fermentation_started      original_gravity_sg gravity_sg fall_points start_time
//   slow_start                hours_since_pitch gravity_sg [temperature_celsius]
//   step_due                  gravity_sg attenuation due_time
//   step_not_held             temperature_celsius wanted_celsius hours_since_due
//   temperature_out_of_range  temperature_celsius low_celsius high_celsius hours_outside
//   stuck                     gravity_sg expected_final_sg still_hours [temperature_celsius]
//                             [temperature_fall_celsius] doubtful (1: a high reading would look the same)
//   final_gravity_stable      final_gravity_sg final_gravity_low_sg final_gravity_high_sg change_points
//                             window_hours confidence attenuation
//   over_attenuated           attenuation expected_high gravity_sg
//   sensor_silent             silent_hours [usual_interval_minutes] (heard more than once)
//                             [sensors_silent] (all of the batch, at once: one alert for all)
//                             [battery_volt] (it was nearly empty)
//   sensor_frozen             frozen_hours value
//   sensor_implausible        refused_readings value [clock_off_hours] (ahead; negative: behind)
//   battery_low               battery_volt [days_left] (until it is nearly empty, if it keeps falling)
//   gravity_jumped            change_points (of what the hydrometer shows) gravity_sg (without it) jump_time
//                             [others_steady] (1: another hydrometer in the vessel shows nothing of it)
// A withdrawal carries what changed, by the same names. When a temperature is no longer known: unknown_hours,
// since when, and the last temperature. When the batch was only re-evaluated: corrected (1) alone.
using Evidence = std::vector<std::pair<std::string, double>>;
std::optional<double> find(const Evidence& evidence, std::string_view name);

// Something that the judgement has concluded. (kind, sensor, step, occurrence) identify it within its batch:
// the same events always produce the same identities, so that a restart repeats nothing.
struct Decision {
  Time time;  // event time at which it was decided
  AlertKind kind;
  enum class State { raised, withdrawn } state = State::raised;
  int occurrence = 1;       // counts the raises of this kind (and sensor, step) in the batch
  std::optional<int> step;  // 1-based number of the hold that has ended; step_due and step_not_held
  std::string sensor;       // which one it is about; sensor_*, battery_low and gravity_jumped
  Evidence evidence;
};
const char* name(Decision::State state);

}  // namespace gyle
