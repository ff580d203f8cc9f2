#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "rehearsal/beer_model.h"
#include "rehearsal/sensor_model.h"

namespace gyle {

// A made-up batch, before rehearse() varies it by the seed.
struct Scenario {
  std::string name;
  std::string about;  // one line for a person
  BatchSpec spec;     // pitched is filled in by rehearse()
  SpecificGravity original_gravity = SpecificGravity::unchecked(1.050);
  SpecificGravity nominal_final = SpecificGravity::unchecked(1.012);
  SigmoidShape shape;
  double lag_h = 0.0;
  Halt halt;
  double creep = 0.0;          // fraction of the nominal fall beyond it
  double creep_per_day = 0.0;  // same fraction
  VesselModel vessel;
  Conduct conduct;
  Duration lasts = days(14);
  Hydrometer hydrometer;
  Probe probe;
};

// In display order; the first is the default.
std::vector<std::string> scenario_names();

// Errc::not_found for an unknown name; the message lists the known ones.
Result<Scenario> scenario_named(std::string_view name);

}  // namespace gyle
