#pragma once

#include <string_view>

#include "base/result.h"
#include "base/time.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// Quantities as a brewer writes them: a number, an optional space, a unit. Units are UCUM codes and the
// everyday spellings beside them, letter case ignored. Decimals follow a point or a comma. Every error
// names what was read and what is expected.

// "18 C", "18 Cel", "64.4 F", "64.4 [degF]", "291 K"; the unit is required. Range -50 to 150 degC.
Result<Celsius> parse_temperature(std::string_view text);

// "1.048", "1.048 SG", "12 P", "12 degP"; without a unit the number is specific gravity.
Result<SpecificGravity> parse_gravity(std::string_view text);

// "12 L", "500 mL", "3.2 gal", "12 fl oz" (US); litres. Above 0, at most 10000 L.
Result<double> parse_volume_litres(std::string_view text);

// "2.4", "2.4 volumes", "4.7 g/L" of carbon dioxide in beer; volumes (units/carbonation.h). Above 0, at most
// 20.
Result<double> parse_carbonation_volumes(std::string_view text);

// "5 kg", "450 g", "6 lb", "8 oz" (avoirdupois); kilograms. Above 0, at most 10000 kg.
Result<double> parse_mass_kg(std::string_view text);

// "4 L/h", "1.25 gal/h" (US): litres an hour. 0 to 1000 L/h.
Result<double> parse_litres_per_hour(std::string_view text);

// "0.8 L/kg", "0.1 gal/lb" (US): litres per kilogram. 0 to 10 L/kg.
Result<double> parse_litres_per_kg(std::string_view text);

// "3500 W", "3.5 kW"; watts. Above 0, at most 1000 kW.
Result<double> parse_power_watts(std::string_view text);

// "48 h", "30 min", "5 s", "7 d", "3 weeks"; above 0.
Result<Duration> parse_duration(std::string_view text);

}  // namespace gyle
