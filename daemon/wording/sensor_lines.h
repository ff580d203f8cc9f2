#pragma once

#include <optional>
#include <string>
#include <vector>

#include "calibration/inclination_fit.h"
#include "fermentation/view.h"
#include "ingest/refusal.h"
#include "series/reading.h"
#include "wording/display.h"

namespace gyle {

// One sensor, with all that is known of it.
struct SensorStory {
  std::string sensor;
  std::string vessel;                          // empty: in none
  std::string batch;                           // empty: none is in the vessel
  std::vector<Reading> newest;                 // the last of each quantity
  std::optional<SensorHealth> health;          // as its batch has seen it
  std::optional<Refusal> refused;              // the newest refusal that names it
  std::optional<CalibrationCurve> curve = {};  // its calibration
};

// The state of a sensor at a glance: where it is and when it was last heard; its values and its battery; and
// what is wrong with it, if anything. No control characters, whatever the names hold.
std::vector<std::string> sensor_lines(const SensorStory& story, const DisplaySettings& display, Time now);

}  // namespace gyle
