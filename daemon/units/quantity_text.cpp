#include "units/quantity_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <string>

#include "base/text.h"
#include "units/carbonation.h"
#include "units/us_customary.h"

namespace gyle {
namespace {

struct NumberAndUnit {
  double number;
  std::string unit;  // lower case
};

// A comma before decimals is read as a point. Before exactly three digits it may also separate thousands;
// then it is read only where thousands are impossible (`no_thousands`).
Result<NumberAndUnit> split(std::string_view text, std::string_view example, bool no_thousands = false) {
  std::string pointed(trimmed(text));
  if (const std::size_t comma = pointed.find(','); comma != std::string::npos) {
    const std::size_t end = std::min(pointed.find_first_not_of("0123456789", comma + 1), pointed.size());
    const bool decimals = comma > 0 && end > comma + 1 &&
                          pointed.find_first_of(".,", comma + 1) == std::string::npos &&
                          pointed.find('.') == std::string::npos;
    if (!decimals || (end == comma + 4 && !no_thousands)) {
      return fail(Errc::malformed,
                  fmt::format("the comma in '{}' can be read in two ways; write decimals after a "
                              "point, as in \"{}\"",
                              text.substr(0, 40), example));
    }
    pointed[comma] = '.';
  }
  const std::string_view whole = pointed;
  double number = 0;
  const auto [end, error] = std::from_chars(whole.data(), whole.data() + whole.size(), number);
  if (error != std::errc{} || !std::isfinite(number)) {
    return fail(Errc::malformed, fmt::format("'{}' does not begin with a number; write for example \"{}\"",
                                             text.substr(0, 40), example));
  }
  const std::string_view unit = whole.substr(static_cast<std::size_t>(end - whole.data()));
  return NumberAndUnit{number, lower_case(trimmed(unit))};
}

bool is_one_of(std::string_view unit, std::initializer_list<std::string_view> names) {
  return std::find(names.begin(), names.end(), unit) != names.end();
}

auto unknown_unit(std::string_view text, std::string_view choices) {
  return fail(Errc::malformed,
              fmt::format("'{}' has no unit known here; write {}", text.substr(0, 40), choices));
}

}  // namespace

Result<Celsius> parse_temperature(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "18 C", true));
  Celsius t{};
  if (is_one_of(parts.unit, {"cel", "c", "degc", "°c"})) {
    t = Celsius{parts.number};
  } else if (is_one_of(parts.unit, {"[degf]", "f", "degf", "°f"})) {
    t = from_fahrenheit(parts.number);
  } else if (parts.unit == "k") {
    t = from_kelvin(parts.number);
  } else {
    return unknown_unit(text, "C, F or K");
  }
  if (t.value < -50 || t.value > 150) {
    return fail(Errc::out_of_range, fmt::format("{} is {:.1f} °C, outside -50 to 150 °C", text, t.value));
  }
  return t;
}

Result<SpecificGravity> parse_gravity(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "1.048", true));
  if (is_one_of(parts.unit, {"", "sg"})) return SpecificGravity::from(parts.number);
  if (is_one_of(parts.unit, {"p", "degp", "°p", "plato"})) {
    if (parts.number < -3 || parts.number > 40) {
      return fail(Errc::out_of_range, fmt::format("{} is outside -3 to 40 °P", text));
    }
    return to_specific_gravity(Plato{parts.number});
  }
  return unknown_unit(text, "SG or P");
}

Result<double> parse_volume_litres(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "20 L"));
  double litres = 0;
  if (is_one_of(parts.unit, {"l", "litre", "litres", "liter", "liters"})) {
    litres = parts.number;
  } else if (is_one_of(parts.unit, {"gal", "[gal_us]", "gallon", "gallons"})) {
    litres = parts.number * kLitresPerUsGallon;
  } else if (is_one_of(parts.unit, {"ml"})) {
    litres = parts.number / 1000;
  } else if (is_one_of(parts.unit, {"fl oz", "floz", "[foz_us]"})) {
    litres = parts.number * kLitresPerUsFluidOunce;
  } else {
    return unknown_unit(text, "L, mL, gal or fl oz");
  }
  if (litres <= 0 || litres > 10000) {
    return fail(Errc::out_of_range, fmt::format("{} is not a volume above 0 and up to 10000 L", text));
  }
  return litres;
}

Result<double> parse_carbonation_volumes(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "2.4"));
  double volumes = 0;
  if (is_one_of(parts.unit, {"", "vol", "vols", "volume", "volumes"})) {
    volumes = parts.number;
  } else if (is_one_of(parts.unit, {"g/l"})) {
    volumes = parts.number / kCo2GramsPerVolume;
  } else {
    return unknown_unit(text, "volumes or g/L");
  }
  if (volumes <= 0 || volumes > 20) {
    return fail(Errc::out_of_range, fmt::format("{} is not above 0 and up to 20 volumes", text));
  }
  return volumes;
}

Result<double> parse_mass_kg(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "5 kg"));
  double kg = 0;
  if (is_one_of(parts.unit, {"kg"})) {
    kg = parts.number;
  } else if (is_one_of(parts.unit, {"g", "gram", "grams"})) {
    kg = parts.number / 1000;
  } else if (is_one_of(parts.unit, {"lb", "lbs", "[lb_av]", "pound", "pounds"})) {
    kg = parts.number * kKgPerPound;
  } else if (is_one_of(parts.unit, {"oz", "[oz_av]", "ounce", "ounces"})) {
    kg = parts.number * kKgPerPound / 16;
  } else {
    return unknown_unit(text, "kg, g, lb or oz");
  }
  if (kg <= 0 || kg > 10000) {
    return fail(Errc::out_of_range, fmt::format("{} is not a mass above 0 and up to 10000 kg", text));
  }
  return kg;
}

Result<double> parse_litres_per_hour(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "4 L/h"));
  double rate = 0;
  if (is_one_of(parts.unit, {"l/h", "l/hour"})) {
    rate = parts.number;
  } else if (is_one_of(parts.unit, {"gal/h", "[gal_us]/h", "gal/hour"})) {
    rate = parts.number * kLitresPerUsGallon;
  } else {
    return unknown_unit(text, "L/h or gal/h");
  }
  if (rate < 0 || rate > 1000) {
    return fail(Errc::out_of_range, fmt::format("{} is not from 0 to 1000 L/h", text));
  }
  return rate;
}

Result<double> parse_litres_per_kg(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "0.8 L/kg"));
  double rate = 0;
  if (is_one_of(parts.unit, {"l/kg"})) {
    rate = parts.number;
  } else if (is_one_of(parts.unit, {"gal/lb", "[gal_us]/[lb_av]"})) {
    rate = parts.number * kLitresPerUsGallon / kKgPerPound;
  } else {
    return unknown_unit(text, "L/kg or gal/lb");
  }
  if (rate < 0 || rate > 10) {
    return fail(Errc::out_of_range, fmt::format("{} is not from 0 to 10 L/kg", text));
  }
  return rate;
}

Result<double> parse_power_watts(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "3.5 kW"));
  double watts = 0;
  if (is_one_of(parts.unit, {"w", "watt", "watts"})) {
    watts = parts.number;
  } else if (is_one_of(parts.unit, {"kw"})) {
    watts = parts.number * 1000;
  } else {
    return unknown_unit(text, "W or kW");
  }
  if (watts <= 0 || watts > 1e6) {
    return fail(Errc::out_of_range, fmt::format("{} is not a power above 0 and up to 1000 kW", text));
  }
  return watts;
}

Result<Duration> parse_duration(std::string_view text) {
  BOOST_OUTCOME_TRY(parts, split(text, "48 h"));
  double hours_per_unit = 0;
  if (is_one_of(parts.unit, {"s", "second", "seconds"})) {
    hours_per_unit = 1.0 / 3600;
  } else if (is_one_of(parts.unit, {"min", "minute", "minutes"})) {
    hours_per_unit = 1.0 / 60;
  } else if (is_one_of(parts.unit, {"h", "hour", "hours"})) {
    hours_per_unit = 1;
  } else if (is_one_of(parts.unit, {"d", "day", "days"})) {
    hours_per_unit = 24;
  } else if (is_one_of(parts.unit, {"wk", "week", "weeks"})) {
    hours_per_unit = 168;
  } else {
    return unknown_unit(text, "s, min, h, d or weeks");
  }
  const double length_h = parts.number * hours_per_unit;
  if (length_h <= 0 || length_h > 24 * 3660) {
    return fail(Errc::out_of_range,
                fmt::format("{} is not a length of time above 0 and up to ten years", text));
  }
  return from_hours(length_h);
}

}  // namespace gyle
