#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "fermentation/batch.h"
#include "rehearsal/kinetics.h"
#include "rehearsal/truth.h"

namespace gyle {

// The vessel and the room around it.
struct VesselModel {
  double wort_celsius = 20.0;  // at the pitch
  double room_celsius = 17.0;
  double room_swing_celsius = 1.5;        // half the difference between afternoon and night
  double time_constant_h = 18.0;          // of the beer's temperature towards ambient
  double heat_celsius_per_point = 0.25;   // warming per gravity point fermented, without losses
  bool controlled = true;                 // a thermostat holds the plan's temperature
  double control_celsius_per_h = 0.8;     // the fastest it can heat or cool the beer
  bool can_cool = true;                   // false: a heater only
  double thermostat_swing_celsius = 0.3;  // amplitude of its overshoot; period five hours
  double dormant_below_celsius = 6.0;     // below this, and 3 K below its range, yeast is inactive
  double warm_afternoon_celsius = 0.0;    // peak of one rise of the room's temperature
  double warm_afternoon_h = 200.0;        // hours after the pitch
  double warm_afternoon_lasts_h = 8.0;
};

// A change of the thermostat that is not in the plan.
struct Setting {
  double after_h;  // since the pitch
  double celsius;
};

// How the brewer follows the plan.
struct Conduct {
  double step_delay_h = 3.0;   // from the end of a hold to the change of the thermostat
  bool carries_out = true;     // false: the thermostat stays at the first hold
  std::vector<Setting> other;  // in order of time
};

// Simulates a batch.
//   spec         pitch, plan, yeast and stability window
//   lasts        length of the record
//   holds        Truth::hold_over of a hold until final gravity is the true end plus the window; the brewer
//                acts when gravity has been stable over the last window
//   tests        unit/rehearsal/beer_model_test.cpp
Truth brew(const BatchSpec& spec, SpecificGravity original, SpecificGravity nominal_final,
           std::unique_ptr<Kinetics> kinetics, const VesselModel& vessel, const Conduct& conduct,
           Duration lasts);

}  // namespace gyle
