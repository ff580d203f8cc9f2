#include <catch2/catch.hpp>
#include <concepts>

#include "units/gravity.h"
#include "units/temperature.h"

using namespace gyle;

namespace {

template <class A, class B>
concept addable = requires(A a, B b) {
  a + b;
};
template <class A, class B>
concept subtractable = requires(A a, B b) {
  a - b;
};
template <class A, class B>
concept comparable = requires(A a, B b) {
  a < b;
};

// What makes sense compiles ...
static_assert(
    std::same_as<decltype(SpecificGravity::unchecked(1) - SpecificGravity::unchecked(1)), GravityPoints>);
static_assert(std::same_as<decltype(Celsius{} - Celsius{}), CelsiusDelta>);
static_assert(addable<SpecificGravity, GravityPoints> && addable<Celsius, CelsiusDelta>);
// ... and what does not, does not: no sum of two temperatures or two gravities,
static_assert(!addable<Celsius, Celsius> && !addable<SpecificGravity, SpecificGravity>);
// no bare numbers, no mixture of scales,
static_assert(!addable<SpecificGravity, double> && !subtractable<SpecificGravity, double>);
static_assert(!addable<Celsius, double> && !addable<Celsius, GravityPoints>);
static_assert(!subtractable<SpecificGravity, Plato> && !comparable<SpecificGravity, Plato>);
static_assert(!comparable<Celsius, CelsiusDelta> && !comparable<SpecificGravity, double>);
// and nothing becomes a quantity unseen.
static_assert(!std::convertible_to<double, SpecificGravity> && !std::convertible_to<double, Celsius>);
static_assert(!std::convertible_to<double, Plato> && !std::convertible_to<SpecificGravity, double>);

}  // namespace

// Fixed points of the scales: 1 degF is 1/1.8 K, -40 is the same in both.
TEST_CASE("temperature scales meet where they should") {
  CHECK(from_fahrenheit(-40).value == Approx(-40));
  CHECK(to_fahrenheit(Celsius{100}) == Approx(212));
  CHECK(from_kelvin(273.15).value == Approx(0).margin(1e-12));
  CHECK((Celsius{20} - Celsius{18}).value == Approx(2));
}
