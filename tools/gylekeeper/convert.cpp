#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "units/hydrometer.h"
#include "units/quantity_text.h"
#include "units/refractometer.h"
#include "units/us_customary.h"
#include "verbs.h"

namespace gyle {
namespace {

struct ConvertOptions {
  std::string value;
  std::optional<std::string> temperature;
  std::optional<std::string> calibrated_at;
  bool refractometer = false;
  std::optional<std::string> original;
  std::optional<std::string> wort_correction;
};

// A quantity in all units that brewers use, as text and for machines.
struct Converted {
  std::string text;
  nlohmann::ordered_json json;
};

Converted gravity_in_units(SpecificGravity gravity) {
  const double plato = to_plato(gravity).value;
  return {fmt::format("{:.4f} SG = {:.2f} °P = {:.1f} points", gravity.value(), plato,
                      1000 * (gravity.value() - 1)),
          {{"gravity_sg", gravity.value()}, {"gravity_plato", plato}}};
}

Converted temperature_in_units(Celsius t) {
  const double fahrenheit = to_fahrenheit(t);
  return {fmt::format("{:.1f} °C = {:.1f} °F", t.value, fahrenheit),
          {{"temperature_celsius", t.value}, {"temperature_fahrenheit", fahrenheit}}};
}

Converted volume_in_units(double litres) {
  const double gallons = litres / kLitresPerUsGallon;
  return {fmt::format("{:.3f} L = {:.3f} gal (US)", litres, gallons),
          {{"volume_litres", litres}, {"volume_us_gallons", gallons}}};
}

Converted mass_in_units(double kg) {
  const double pounds = kg / kKgPerPound;
  return {fmt::format("{:.3f} kg = {:.3f} lb = {:.2f} oz", kg, pounds, 16 * pounds),
          {{"mass_kilograms", kg}, {"mass_pounds", pounds}}};
}

Result<double> plain_number(const std::string& text, const char* example) {
  const std::string_view whole = trimmed(text);
  double number = 0;
  const auto [end, error] = std::from_chars(whole.data(), whole.data() + whole.size(), number);
  if (error == std::errc{} && end == whole.data() + whole.size()) return number;
  return fail(Errc::malformed, fmt::format("'{}' is no number; write it as {}", text, example));
}

Result<Converted> by_refractometer(const ConvertOptions& options) {
  BOOST_OUTCOME_TRY(reading, plain_number(options.value, "6.2, in degrees Brix or Plato"));
  double correction = kWortCorrection;
  if (options.wort_correction) {
    BOOST_OUTCOME_TRY(given, plain_number(*options.wort_correction, "1.04"));
    correction = given;
  }
  if (!options.original) {
    BOOST_OUTCOME_TRY(wort, refractometer_wort_gravity(reading, correction));
    Converted converted = gravity_in_units(wort);
    converted.text += ", of wort that does not ferment yet";
    return converted;
  }
  BOOST_OUTCOME_TRY(original, parse_gravity(*options.original));
  BOOST_OUTCOME_TRY(beer, refractometer_gravity(reading, original, correction));
  Converted converted = gravity_in_units(beer);
  converted.text += ", corrected for the alcohol; some two points wrong, more before the end";
  return converted;
}

Result<Converted> convert(const ConvertOptions& options) {
  if (options.refractometer) return by_refractometer(options);
  if (options.temperature) {
    BOOST_OUTCOME_TRY(reading, parse_gravity(options.value));
    BOOST_OUTCOME_TRY(taken_at, parse_temperature(*options.temperature));
    BOOST_OUTCOME_TRY(made_for, parse_temperature(options.calibrated_at.value_or("20 C")));
    BOOST_OUTCOME_TRY(corrected, corrected_hydrometer_reading(reading, taken_at, made_for));
    Converted converted = gravity_in_units(corrected);
    converted.text += fmt::format(", read as {:.4f} at {:.1f} °C", reading.value(), taken_at.value);
    return converted;
  }
  if (const auto t = parse_temperature(options.value)) return temperature_in_units(t.value());
  if (const auto litres = parse_volume_litres(options.value)) return volume_in_units(litres.value());
  if (const auto kg = parse_mass_kg(options.value)) return mass_in_units(kg.value());
  const auto gravity = parse_gravity(options.value);
  if (gravity) return gravity_in_units(gravity.value());
  // A number that is no gravity says best what is wrong with it; a unit says what was meant.
  if (gravity.error().code == Errc::out_of_range) return gravity.error();
  return fail(
      Errc::malformed,
      fmt::format("'{}' cannot be converted; write a gravity (1.048, \"12 P\"), a temperature (\"66 C\", "
                  "\"152 F\"), a volume (\"12 L\", \"3 gal\") or a mass (\"2 kg\", \"4 lb\")",
                  options.value.substr(0, 40)));
}

Exit run_convert(const ConvertOptions& options, const CommonOptions& common) {
  const auto converted = convert(options);
  if (!converted) return complain(converted.error());
  if (common.json) {
    fmt::print("{}\n", converted.value().json.dump());
  } else {
    fmt::print("{}\n", converted.value().text);
  }
  return Exit::ok;
}

}  // namespace

Verb convert_verb() {
  const auto o = std::make_shared<ConvertOptions>();
  return {
      .name = "convert",
      .about = "convert a gravity, temperature, volume or mass, or correct a reading; nothing is stored",
      .arguments =
          {{.name = "value",
            .place = &o->value,
            .about = "1.048, \"12 P\", \"66 C\", \"152 F\", \"12 L\", \"3 gal\", \"2 kg\", \"4 lb\"; with "
                     "--refractometer degrees Brix or Plato, as 6.2",
            .required = true},
           {.name = "--temperature",
            .place = &o->temperature,
            .about = "of the sample that a hydrometer was read in, as \"24 C\"; its reading is corrected"},
           calibrated_at_argument(&o->calibrated_at),
           {.name = "--refractometer",
            .place = &o->refractometer,
            .about = "measured with a refractometer",
            .excludes = {"--temperature"}},
           {.name = "--original",
            .place = &o->original,
            .about = "the original gravity of a beer that ferments: the reading is corrected for alcohol",
            .value = "GRAVITY",
            .needs = {"--refractometer"}},
           wort_correction_argument(&o->wort_correction)},
      .notes =
          "The daemon is not needed. To enter a gravity that was measured, use `gylekeeper sample`, which "
          "makes the same corrections.",
      .examples = {"gylekeeper convert \"12 P\"", "gylekeeper convert \"152 F\"",
                   "gylekeeper convert 1.049 --temperature \"77 F\" --calibrated-at \"60 F\"",
                   "gylekeeper convert 6.2 --refractometer --original 1.048"},
      .run = [o](const CommonOptions& common) { return run_convert(*o, common); }};
}

}  // namespace gyle
