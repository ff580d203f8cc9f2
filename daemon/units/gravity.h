#pragma once

#include <compare>

#include "base/result.h"

namespace gyle {

// Difference of two gravities in points: 0.001 SG each, so 1.048 - 1.010 is 38 points.
struct GravityPoints {
  double value = 0.0;
  auto operator<=>(const GravityPoints&) const = default;
};

// Apparent specific gravity 20/20 degC, dimensionless: 1.0480.
class SpecificGravity {
 public:
  // What a wort, beer or calibration liquid can have: [0.980, 1.200]. NaN and everything outside:
  // Errc::out_of_range, with a hint when the value looks like points (48) or kg/m3 (1048).
  static Result<SpecificGravity> from(double value);

  // For values that are known to be in range: literals and arithmetic on checked values.
  static constexpr SpecificGravity unchecked(double value) { return SpecificGravity(value); }

  constexpr double value() const { return value_; }
  auto operator<=>(const SpecificGravity&) const = default;

 private:
  constexpr explicit SpecificGravity(double value) : value_(value) {}
  double value_;
};

constexpr GravityPoints operator-(SpecificGravity a, SpecificGravity b) {
  return GravityPoints{(a.value() - b.value()) * 1000.0};
}
constexpr SpecificGravity operator+(SpecificGravity a, GravityPoints b) {
  return SpecificGravity::unchecked(a.value() + b.value / 1000.0);
}
constexpr SpecificGravity operator-(SpecificGravity a, GravityPoints b) {
  return SpecificGravity::unchecked(a.value() - b.value / 1000.0);
}

// Extract in degrees Plato: grams of sucrose in 100 g of solution of the same density.
struct Plato {
  double value = 0.0;
  auto operator<=>(const Plato&) const = default;
};

// The cubic fitted to table 114 of NBS Circular C440 (1942): within 0.005 degP of the table from 0 to 30
// degP; -0.0048 at SG 1 exactly. Valid for SG 0.990 to 1.130.
Plato to_plato(SpecificGravity gravity);

// Inverse of to_plato by Newton's method, to 1e-9 SG. Valid for -3 to 30 degP.
SpecificGravity to_specific_gravity(Plato extract);

}  // namespace gyle
