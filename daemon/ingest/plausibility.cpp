#include "ingest/plausibility.h"

#include <fmt/format.h>

#include <cmath>

#include "units/gravity.h"

namespace gyle {
namespace {

std::optional<Complaint> outside(double value, double low, double high, const char* unit) {
  if (value >= low && value <= high) return std::nullopt;
  return Complaint{
      RefusalReason::out_of_range,
      fmt::format("{:.6g} {} is not possible here; expected {} to {} {}", value, unit, low, high, unit)};
}

}  // namespace

std::optional<Complaint> implausible(Quantity quantity, double value) {
  if (!std::isfinite(value)) return Complaint{RefusalReason::not_a_number, "not a finite number"};
  switch (quantity) {
    case Quantity::gravity:
    case Quantity::sample: {
      const auto gravity = SpecificGravity::from(value);
      if (gravity) return std::nullopt;
      return Complaint{RefusalReason::out_of_range, gravity.error().message};
    }
    case Quantity::beer_temperature:
    case Quantity::ambient_temperature:
      // Sent in Fahrenheit or kelvin they come back from the conversion with a rounding error.
      if (std::abs(value - 85.0) < 1e-6 || std::abs(value + 127.0) < 1e-6) {
        return Complaint{
            RefusalReason::probe_error,
            fmt::format("{:.0f} °C is what a temperature probe reports when it could not measure; "
                        "look at its wire and plug",
                        value)};
      }
      return outside(value, -30, 60, "°C");
    case Quantity::inclination:
      return outside(value, 0, 180, "degrees");
    case Quantity::battery:
      return outside(value, 0, 30, "V");
  }
  return std::nullopt;
}

}  // namespace gyle
