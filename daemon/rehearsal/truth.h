#pragma once

#include <optional>
#include <vector>

#include "base/time.h"

namespace gyle {

// What really happens in the vessel, on a regular grid from the pitch on. Between grid points values are
// interpolated linearly; outside, the nearest end holds.
struct Truth {
  Time pitched;
  Duration grid;
  std::vector<double> gravity;              // SG
  std::vector<double> beer_temperature;     // degC
  std::vector<double> ambient_temperature;  // degC, around the vessel

  double original_gravity;  // SG
  double final_gravity;     // SG after two more months without any change
  double nominal_final;     // SG with all fermentable sugar used; a final gravity far above it means stuck

  std::optional<Time> started;                 // first fall of one point (0.001 SG)
  std::optional<Time> finished;                // within 0.0005 SG of the final gravity
  std::vector<std::optional<Time>> hold_over;  // per hold of the plan: when its condition is met
  std::vector<std::optional<Time>> set_to;     // per hold: when the thermostat is set to its temperature

  Time end() const { return pitched + grid * (static_cast<Duration::rep>(gravity.size()) - 1); }
  double gravity_at(Time time) const { return at(gravity, time); }
  double beer_at(Time time) const { return at(beer_temperature, time); }
  double ambient_at(Time time) const { return at(ambient_temperature, time); }
  double rate_at(Time time) const;  // points (0.001 SG) per day over two hours, positive while gravity falls
  std::optional<Time> first_at_or_below(double specific_gravity) const;  // on the grid

 private:
  double at(const std::vector<double>& series, Time time) const;
};

}  // namespace gyle
