#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "fermentation/batch.h"
#include "rehearsal/kinetics.h"
#include "rehearsal/truth.h"

namespace gyle {

// The vessel and the room it stands in.
struct VesselModel {
  double wort_celsius = 20.0;  // at the pitch
  double room_celsius = 17.0;
  double room_swing_celsius = 1.5;        // half of the difference between afternoon and night
  double time_constant_h = 18.0;          // of the beer towards its surroundings
  double heat_celsius_per_point = 0.25;   // warming per gravity point fermented, if no heat were lost
  bool controlled = true;                 // a thermostat holds the plan's temperature
  double control_celsius_per_h = 0.8;     // the most it can heat or cool the beer
  bool can_cool = true;                   // false: a heater only
  double thermostat_swing_celsius = 0.3;  // it overshoots by this, up and down, every five hours
  double dormant_below_celsius = 6.0;     // colder than this, and 3 K below its range, yeast does nothing
  double warm_afternoon_celsius = 0.0;    // the room is warmer by this, once
  double warm_afternoon_h = 200.0;        // hours after the pitch
  double warm_afternoon_lasts_h = 8.0;
};

// A change of the thermostat that no hold asks for.
struct Setting {
  double after_h;  // since the pitch
  double celsius;
};

// What the brewer does about the plan.
struct Conduct {
  double step_delay_h = 3.0;   // from the end of a hold to the change of the thermostat
  bool carries_out = true;     // false: the thermostat stays at the first hold
  std::vector<Setting> other;  // in order of time
};

// The true story of a batch: `spec` for pitch, plan and stability window; `original_gravity` and
// `nominal_final` SG; `lasts` days, which is where the record ends.
//   holds     a hold with until = final-gravity is over when gravity has been final for the window; a brewer
//             who acts on it goes by what gravity did in the last window, as a brewer does
Truth brew(const BatchSpec& spec, double original_gravity, double nominal_final,
           std::unique_ptr<Kinetics> kinetics, const VesselModel& vessel, const Conduct& conduct,
           double lasts_days);

}  // namespace gyle
