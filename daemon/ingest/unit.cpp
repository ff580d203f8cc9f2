#include "ingest/unit.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "units/density.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {
namespace {

enum class Kind { gravity, temperature, angle, voltage };

struct Row {
  Unit unit;
  Kind kind;
  const char* code;
  std::array<std::string_view, 2> also;
};

// A new unit is one row here and one line in to_canonical.
constexpr std::array<Row, 10> kUnits{{
    {Unit::specific_gravity, Kind::gravity, "SG", {"/", "1"}},
    {Unit::plato, Kind::gravity, "P", {"degP", "°P"}},
    {Unit::kilogram_per_cubic_metre, Kind::gravity, "kg/m3", {}},
    {Unit::celsius, Kind::temperature, "C", {"Cel", "°C"}},
    {Unit::fahrenheit, Kind::temperature, "F", {"[degF]", "°F"}},
    {Unit::kelvin, Kind::temperature, "K", {}},
    {Unit::degree_angle, Kind::angle, "deg", {"°"}},
    {Unit::radian, Kind::angle, "rad", {}},
    {Unit::volt, Kind::voltage, "V", {}},
    {Unit::millivolt, Kind::voltage, "mV", {}},
}};

const Row& row_of(Unit unit) { return kUnits[static_cast<std::size_t>(unit)]; }

Kind kind_of(Quantity quantity) {
  switch (quantity) {
    case Quantity::gravity:
    case Quantity::sample:
      return Kind::gravity;
    case Quantity::beer_temperature:
    case Quantity::ambient_temperature:
      return Kind::temperature;
    case Quantity::inclination:
      return Kind::angle;
    case Quantity::battery:
      return Kind::voltage;
  }
  return Kind::gravity;
}

}  // namespace

std::optional<Unit> unit_coded(std::string_view code) {
  if (code.empty()) return std::nullopt;
  for (const Row& row : kUnits) {
    if (code == row.code || code == row.also[0] || code == row.also[1]) return row.unit;
  }
  return std::nullopt;
}

const char* code(Unit unit) { return row_of(unit).code; }

bool fits(Unit unit, Quantity quantity) { return row_of(unit).kind == kind_of(quantity); }

std::string codes_that_fit(Quantity quantity) {
  std::vector<std::string> codes;
  for (const Row& row : kUnits) {
    if (row.kind == kind_of(quantity)) codes.push_back(fmt::format("\"{}\"", row.code));
  }
  const std::string last = codes.back();
  codes.pop_back();
  return fmt::format("{} or {}", fmt::join(codes, ", "), last);
}

Result<double> to_canonical(double value, Unit unit) {
  switch (unit) {
    case Unit::specific_gravity: {
      BOOST_OUTCOME_TRY(gravity, SpecificGravity::from(value));
      return gravity.value();
    }
    case Unit::plato:
      // The formula holds from -3 to 30 degP; a little beyond is still beer and bends only slowly.
      if (!(value >= -3 && value <= 40)) {
        return fail(Errc::out_of_range, fmt::format("{} °P is outside -3 to 40 °P", value));
      }
      return to_specific_gravity(Plato{value}).value();
    case Unit::kilogram_per_cubic_metre: {
      BOOST_OUTCOME_TRY(gravity, from_density(value));
      return gravity.value();
    }
    case Unit::fahrenheit:
      return from_fahrenheit(value).value;
    case Unit::kelvin:
      return from_kelvin(value).value;
    case Unit::radian:
      return value * 180 / std::numbers::pi;
    case Unit::millivolt:
      return value / 1000;
    case Unit::celsius:
    case Unit::degree_angle:
    case Unit::volt:
      return value;
  }
  return value;
}

}  // namespace gyle
