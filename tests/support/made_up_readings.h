#pragma once

#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/event.h"

namespace gyle::test {

// A simple batch: a logistic fall from 1.050 to 1.012 over five days at 18 degC, then 21, measured every
// quarter of an hour by a hydrometer with some noise, with an ambient probe.
struct MadeUp {
  Time pitched{hours(24 * 20000)};
  double start = 50, final = 12;      // points
  double rate = 0.09, middle_h = 50;  // of the logistic, per hour and hours
  double noise = 0.4;                 // points
  double offset = 0;                  // points, positive: the hydrometer reads too high
  double to_h = 240;
  double stops_at_h = 1e9;    // gravity is constant from then on
  double freezes_at_h = 1e9;  // the hydrometer repeats its value from then on
  std::uint64_t seed = 1;

  BatchSpec spec() const {
    BatchSpec batch;
    batch.name = "made up";
    batch.pitched = pitched;
    batch.original_gravity = SpecificGravity::unchecked(1 + start / 1000);
    batch.yeast = {"", 0.72, 0.80, Celsius{16}, Celsius{23}};
    batch.plan = {Hold{Celsius{18}, UntilProgress{0.75}}, Hold{Celsius{21}, UntilFinalGravity{}}};
    return batch;
  }

  double points_at(double hour) const {
    const double t = std::min(hour, stops_at_h);
    const auto done = [&](double x) { return 1 / (1 + std::exp(-rate * (x - middle_h))); };
    return start - (start - final) * (done(t) - done(0)) / (1 - done(0));
  }

  std::vector<Event> events() const {
    std::mt19937_64 bits(seed);
    // Box and Muller; std::normal_distribution differs between implementations.
    const auto uniform = [&] { return (static_cast<double>(bits() >> 11) + 0.5) / 9007199254740992.0; };
    const auto normal = [&] {
      return std::sqrt(-2 * std::log(uniform())) * std::cos(6.283185307179586 * uniform());
    };
    std::vector<Event> out;
    double frozen = 0;
    for (double hour = 0.25; hour < to_h; hour += 0.25) {
      const Time time = pitched + from_hours(hour);
      const double celsius = points_at(hour) < start * (1 - 0.75 * 0.76) ? 21 : 18;
      double points = points_at(hour) + offset + noise * normal();
      if (hour < freezes_at_h) frozen = points;
      if (hour >= freezes_at_h) points = frozen;
      out.push_back(Reading{time, "hydrometer", Quantity::gravity, 1 + std::round(points * 10) / 10000});
      out.push_back(Reading{time, "hydrometer", Quantity::beer_temperature, celsius + 0.05 * normal()});
      out.push_back(Reading{time + seconds(40), "probe", Quantity::ambient_temperature, 17 + 0.1 * normal()});
    }
    return out;
  }
};

}  // namespace gyle::test
