#pragma once

#include <string_view>

#include "base/result.h"
#include "base/time.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// Quantities as a brewer writes them: a number, an optional space, a unit. Units are UCUM codes and the
// everyday spellings beside them, letter case ignored. Every failure names what was read and what would be
// right.

// "18 Cel", "18 C", "64.4 F", "64.4 [degF]", "291 K"; the unit is required. Range -50 to 150 degC.
Result<Celsius> parse_temperature(std::string_view text);

// "1.048", "1.048 SG", "12 P", "12 degP"; without a unit the number is specific gravity.
Result<SpecificGravity> parse_gravity(std::string_view text);

// "20 L", "5.5 gal" (US); litres. Above 0, at most 10000 L.
Result<double> parse_volume_litres(std::string_view text);

// "48 h", "30 min", "5 s", "7 d", "3 weeks"; above 0.
Result<Duration> parse_duration(std::string_view text);

}  // namespace gyle
