#include "packaging/energy.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

struct Beer {
  SpecificGravity original, present;
  AlcoholRoutes routes = alcohol_by_routes(original, present).value();
  Energy in(double litres) const { return energy_in(litres, routes, present); }
};

Beer beer(double original, double present) {
  return {SpecificGravity::unchecked(original), SpecificGravity::unchecked(present)};
}

}  // namespace

// The formula of the ASBC (Beer-33) for 12 US fluid ounces, from memory: (6.9 alcohol by weight + 4.0 (real
// extract - 0.1)) times the final gravity times 3.55. Its factor for alcohol is 6.9, ours 7, and it takes off
// some ash.
TEST_CASE("a bottle's energy agrees with the laboratories' formula to 3 %") {
  for (const auto& [original, present] :
       {std::pair(1.040, 1.010), {1.050, 1.010}, {1.065, 1.015}, {1.090, 1.020}}) {
    CAPTURE(original, present);
    const Beer one = beer(original, present);
    const double published =
        (6.9 * 100 * one.routes.weight_balling + 4.0 * (one.routes.real_extract.value - 0.1)) * present *
        3.55;
    const double ours = one.in(0.35488).kcal;
    CHECK(ours == Approx(published).epsilon(0.03));
    CHECK(ours > published);
  }
}

TEST_CASE("energy is that of the alcohol and the extract that are in it") {
  // 1.048 to 1.012: 3.736 % alcohol and 4.667 % real extract by weight (abv_examples.csv), 101.0 g in 100 mL.
  const Energy energy = beer(1.048, 1.012).in(0.1);
  CHECK(energy.kj == Approx(1.0102 * (29 * 3.736 + 17 * 4.667)).epsilon(0.002));
  CHECK(energy.kcal == Approx(1.0102 * (7 * 3.736 + 4 * 4.667)).epsilon(0.002));
  CHECK(energy.kj / energy.kcal == Approx(4.184).epsilon(0.01));  // the calorie is 4.184 J
  CHECK(beer(1.048, 1.012).in(0.5).kj == Approx(5 * energy.kj));
}
