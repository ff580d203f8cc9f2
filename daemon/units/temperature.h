#pragma once

#include <compare>

namespace gyle {

// Difference of two temperatures in kelvin.
struct CelsiusDelta {
  double value = 0.0;
  auto operator<=>(const CelsiusDelta&) const = default;
};

// Temperature in degrees Celsius.
struct Celsius {
  double value = 0.0;
  auto operator<=>(const Celsius&) const = default;
};

constexpr CelsiusDelta operator-(Celsius a, Celsius b) { return CelsiusDelta{a.value - b.value}; }
constexpr Celsius operator+(Celsius a, CelsiusDelta b) { return Celsius{a.value + b.value}; }
constexpr Celsius operator-(Celsius a, CelsiusDelta b) { return Celsius{a.value - b.value}; }

constexpr Celsius from_fahrenheit(double f) { return Celsius{(f - 32.0) / 1.8}; }
constexpr double to_fahrenheit(Celsius t) { return t.value * 1.8 + 32.0; }
constexpr Celsius from_kelvin(double k) { return Celsius{k - 273.15}; }

}  // namespace gyle
