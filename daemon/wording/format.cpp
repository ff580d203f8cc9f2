#include "wording/format.h"

#include <date/tz.h>
#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

#include "units/gravity.h"
#include "units/temperature.h"
#include "units/us_customary.h"

namespace gyle {
namespace {

// One decimal, and none when it would be a zero; never "-0".
std::string short_number(double value) {
  const double tenths = std::round(value * 10) / 10;
  const double shown = tenths == 0 ? 0.0 : tenths;
  return std::floor(shown) == shown ? fmt::format("{:.0f}", shown) : fmt::format("{:.1f}", shown);
}

std::string count(long n, const char* singular, const char* plural) {
  return fmt::format("{} {}", n, n == 1 ? singular : plural);
}

const date::time_zone* find_zone(const std::string& name) {
  try {
    return date::locate_zone(name);
  } catch (const std::runtime_error&) {
    return nullptr;
  }
}

bool in_celsius(const DisplaySettings& display) {
  return display.temperature == DisplaySettings::Temperature::celsius;
}
bool in_litres(const DisplaySettings& display) { return display.volume == DisplaySettings::Volume::litres; }
bool in_plato(const DisplaySettings& display) { return display.gravity == DisplaySettings::Gravity::plato; }

}  // namespace

double gravity_number(double sg, const DisplaySettings& display) {
  return in_plato(display) ? to_plato(SpecificGravity::unchecked(sg)).value : sg;
}

double temperature_number(double celsius, const DisplaySettings& display) {
  return in_celsius(display) ? celsius : to_fahrenheit(Celsius{celsius});
}

const char* temperature_unit(const DisplaySettings& display) { return in_celsius(display) ? "°C" : "°F"; }

std::string show_gravity(double sg, const DisplaySettings& display, int decimals) {
  if (!in_plato(display)) return fmt::format("{:.{}f}", sg, decimals);
  return fmt::format("{:.{}f} °P", to_plato(SpecificGravity::unchecked(sg)).value, decimals - 2);
}

std::string show_gravity_with_doubt(const Interval& gravity, const DisplaySettings& display) {
  if (!in_plato(display)) {
    return fmt::format("{:.4f} ± {:.4f}", gravity.value, (gravity.high - gravity.low) / 2);
  }
  const auto plato = [](double sg) { return to_plato(SpecificGravity::unchecked(sg)).value; };
  return fmt::format("{:.1f} ± {:.1f} °P", plato(gravity.value),
                     (plato(gravity.high) - plato(gravity.low)) / 2);
}

std::string show_gravity_change(double points, const DisplaySettings& display) {
  // 0.001 SG is 0.255 degP near water and 0.24 at 12 degP; a difference needs no more than that.
  if (in_plato(display)) {
    const double plato = points * 0.25;
    return fmt::format("{:.2f} °P", std::abs(plato) < 0.005 ? 0.0 : plato);  // never "-0.00"
  }
  const std::string number = short_number(points);
  return number + (number == "1" ? " point" : " points");
}

std::string show_temperature(double celsius, const DisplaySettings& display) {
  return fmt::format("{} {}", short_number(temperature_number(celsius, display)), temperature_unit(display));
}

std::string show_temperature_change(double celsius, const DisplaySettings& display) {
  return fmt::format("{} {}", short_number(in_celsius(display) ? celsius : celsius * 1.8),
                     temperature_unit(display));
}

std::string show_temperature_range(double low, double high, const DisplaySettings& display) {
  return fmt::format("{} to {} {}", short_number(temperature_number(low, display)),
                     short_number(temperature_number(high, display)), temperature_unit(display));
}

std::string show_volume(double litres, const DisplaySettings& display) {
  return in_litres(display) ? fmt::format("{:.1f} L", litres)
                            : fmt::format("{:.2f} gal", litres / kLitresPerUsGallon);
}

std::string show_mass(double kg, const DisplaySettings& display) {
  if (!in_litres(display)) {
    const double pounds = kg / kKgPerPound;
    return pounds < 1 ? fmt::format("{:.2f} oz", pounds * 16) : fmt::format("{:.2f} lb", pounds);
  }
  if (kg >= 1) return fmt::format("{:.2f} kg", kg);
  return (kg < 0.01 ? short_number(kg * 1000) : fmt::format("{:.0f}", kg * 1000)) + " g";
}

std::string show_confidence(double fraction) {
  return fraction > 0.99 ? "more than 99 %" : show_percent(fraction);
}

std::string show_percent(double fraction) {
  const double percent = std::round(fraction * 100);
  return fmt::format("{:.0f} %", percent == 0 ? 0.0 : percent);  // never "-0 %"
}

std::string show_attenuation(double apparent) {
  return apparent < 0.005 ? "not yet fallen" : show_percent(apparent) + " attenuated";
}

std::string show_length(Duration length) {
  const double h = std::abs(in_hours(length));
  if (h * 3600 < 9.5) return "a few seconds";
  if (h * 3600 < 90) return fmt::format("{:.0f} s", h * 3600);
  if (h < 1.75) return fmt::format("{:.0f} min", h * 60);
  if (h < 71.5) return fmt::format("{:.0f} h", h);
  return count(std::lround(h / 24), "day", "days");
}

std::string show_interval(Duration interval) {
  const std::string length = show_length(interval);
  return length == "a few seconds" ? "every few seconds" : "every " + length;
}

namespace {

std::string shown_local(Time time, const DisplaySettings& display, const char* pattern) {
  const date::time_zone* zone = find_zone(display.time_zone);
  if (zone == nullptr) zone = find_zone("UTC");
  const auto instant = std::chrono::floor<minutes>(time);
  std::string shown = zone == nullptr ? date::format(pattern, instant)
                                      : date::format(pattern, date::make_zoned(zone, instant));
  // %e pads a one-digit day with a second space.
  if (const auto gap = shown.find("  "); gap != std::string::npos) shown.erase(gap, 1);
  return shown;
}

}  // namespace

std::string show_time(Time time, const DisplaySettings& display) {
  return shown_local(time, display, "%a %e %b %H:%M");
}

std::string show_time_from(Time time, const DisplaySettings& display, Time now) {
  const bool same_year = shown_local(time, display, "%Y") == shown_local(now, display, "%Y");
  return same_year ? show_time(time, display) : shown_local(time, display, "%a %e %b %Y %H:%M");
}

std::string show_day(Time time, const DisplaySettings& display) {
  return shown_local(time, display, "%a %e %b");
}

std::string show_date(Time time, const DisplaySettings& display) {
  std::string shown = shown_local(time, display, "%e %b %Y");
  if (shown.front() == ' ') shown.erase(0, 1);
  return shown;
}

std::string show_clock(Time time, const DisplaySettings& display) {
  return shown_local(time, display, "%H:%M");
}

std::string show_weekday(Time time, const DisplaySettings& display) {
  return shown_local(time, display, "%A %H:%M");
}

Time local_day(Time time, int days_later, const DisplaySettings& display) {
  const auto day = [days_later](auto local) {
    return date::floor<date::days>(local) + date::days(days_later);
  };
  const date::time_zone* zone = find_zone(display.time_zone);
  if (zone == nullptr) return day(time);
  // Where clocks are put forward at midnight the day begins at the first moment there is.
  return zone->to_sys(date::local_time<Duration>(day(zone->to_local(time))), date::choose::earliest);
}

std::string show_bytes(double bytes) {
  if (bytes < 1e6) return fmt::format("{:.0f} kB", bytes / 1e3);
  if (bytes < 1e9) return fmt::format("{:.0f} MB", bytes / 1e6);
  return fmt::format("{:.1f} GB", bytes / 1e9);
}

const char* stage_words(Stage stage) {
  switch (stage) {
    case Stage::lag:
      return "not started";
    case Stage::active:
      return "fermenting";
    case Stage::slowing:
      return "slowing";
    case Stage::finished:
      return "finished";
    case Stage::stuck:
      return "stuck";
  }
  return "";
}

}  // namespace gyle
