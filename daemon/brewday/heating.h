#pragma once

#include "base/time.h"
#include "units/temperature.h"

namespace gyle {

// Share of a heater's power that reaches the water: our assumption for an open kettle with the element
// inside.
constexpr double kHeatShare = 0.85;

// How long a heater of this power takes to warm so much water, and a kettle of this heat (kJ/K) with it. Wort
// is taken for water. Never negative. Preconditions: watts above 0, finite numbers.
Duration heating_time(double water_kg, double kettle_kj_per_k, CelsiusDelta rise, double watts);

}  // namespace gyle
