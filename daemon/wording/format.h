#pragma once

#include <string>

#include "base/time.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

// Canonical numbers as this brewer reads them, each with its unit (specific gravity needs none).

// "1.0116" with `decimals` 4 (the default is 3), or "2.97 °P" (one decimal fewer).
std::string show_gravity(double sg, const DisplaySettings& display, int decimals = 3);

// The same numbers for an axis, whose unit is beside it: SG or degrees Plato; "°C" or "°F".
double gravity_number(double sg, const DisplaySettings& display);
double temperature_number(double celsius, const DisplaySettings& display);
const char* temperature_unit(const DisplaySettings& display);

// "1.0302 ± 0.0004" or "7.6 ± 0.1 °P": the value and half its interval.
std::string show_gravity_with_doubt(const Interval& gravity, const DisplaySettings& display);

// A difference of gravities: "0.4 points" (of 0.001 SG each) or "0.1 °P".
std::string show_gravity_change(double points, const DisplaySettings& display);

// "18.2 °C" or "64.8 °F"; a whole number without decimals.
std::string show_temperature(double celsius, const DisplaySettings& display);

// A difference of temperatures: "2 °C", "3.6 °F".
std::string show_temperature_change(double celsius, const DisplaySettings& display);

// "16 to 22 °C".
std::string show_temperature_range(double low, double high, const DisplaySettings& display);

// "20.8 L" or "5.50 gal" (US).
std::string show_volume(double litres, const DisplaySettings& display);

// "5.20 kg", "28 g", "1.5 g"; a brewer who reads gallons gets "11.46 lb", "0.99 oz".
std::string show_mass(double kg, const DisplaySettings& display);

// "74 %".
std::string show_percent(double fraction);
// "58 % attenuated"; "not yet fallen" below half a percent.
std::string show_attenuation(double apparent);
// A confidence: "95 %", and never 100 %: "more than 99 %".
std::string show_confidence(double fraction);

// How long: "a few seconds", "40 s", "40 min", "5 h", "3 days"; in the most readable unit. Negative lengths
// are shown as their size.
std::string show_length(Duration length);
// How often: "every 15 min", "every few seconds".
std::string show_interval(Duration interval);

// "Thu 12 Mar 18:30" in the brewer's time zone; UTC when the zone is not known to this machine.
std::string show_time(Time time, const DisplaySettings& display);
// The same, and "Thu 12 Mar 2026 18:30" when `now` is in another year.
std::string show_time_from(Time time, const DisplaySettings& display, Time now);

// "Thu 12 Mar".
std::string show_day(Time time, const DisplaySettings& display);

// "12 Mar 2026".
std::string show_date(Time time, const DisplaySettings& display);

// "18:30".
std::string show_clock(Time time, const DisplaySettings& display);

// "Thursday 18:30".
std::string show_weekday(Time time, const DisplaySettings& display);

// The beginning of the day that `time` is in, in the brewer's time zone, or of one so many days later.
Time local_day(Time time, int days_later, const DisplaySettings& display);

// "820 MB", "1.4 GB" (10^6 and 10^9 bytes).
std::string show_bytes(double bytes);

// Follows advice to heat: "use a heater that has its own cut-out".
inline constexpr const char* kHeaterCutOut = "use a heater that has its own cut-out";

// "not started", "fermenting", ...
const char* stage_words(Stage stage);

}  // namespace gyle
