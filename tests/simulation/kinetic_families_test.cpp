#include "simulation/kinetic_families.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "support/reference.h"

using namespace gyle;
using namespace gyle::simulation;

namespace {

void advance_to(Kinetics& kinetics, double& now_h, double then_h, double celsius) {
  while (now_h < then_h - 1e-9) {
    const double step = std::min(1.0 / 6.0, then_h - now_h);
    kinetics.advance(step, celsius);
    now_h += step;
  }
}

}  // namespace

// tests/reference/kinetics_reference.json, "toro_1998": the published equations and constants of de
// Andres-Toro and co-workers integrated by another program with an adaptive method. Ours takes fixed steps:
// three digits.
TEST_CASE("settling cells follow the published model") {
  for (const nlohmann::json reference = test::reference_json("kinetics_reference.json");
       const auto& run : reference["toro_1998"]) {
    const double celsius = run["T_C"];
    CAPTURE(celsius);
    const auto kinetics = settling_cells();
    double now_h = 0.0;
    for (std::size_t i = 0; i < run["t_h"].size(); ++i) {
      CAPTURE(i);
      advance_to(*kinetics, now_h, run["t_h"][i], celsius);
      REQUIRE((1.0 - kinetics->fallen()) * 130.0 == Approx(run["sugar_g_L"][i].get<double>()).margin(0.13));
    }
  }
}

// "curves"/"modified_gompertz" in the same file, after Zwietering and co-workers 1990.
TEST_CASE("the Gompertz family is the modified Gompertz curve") {
  const auto reference = test::reference_json("kinetics_reference.json")["curves"]["modified_gompertz"];
  const double a = reference["A"];
  const double first = reference["y"][0].get<double>() / a;
  const auto kinetics = modified_gompertz(reference["mu"].get<double>() / a, reference["lam"], 2.0);
  double now_h = 0.0;
  for (std::size_t i = 0; i < reference["t"].size(); ++i) {
    CAPTURE(i);
    advance_to(*kinetics, now_h, reference["t"][i], 20.0);
    CHECK(first + kinetics->fallen() * (1.0 - first) ==
          Approx(reference["y"][i].get<double>() / a).epsilon(1e-6));
  }
}

// "gee_ramirez" in the same file: Arrhenius constants evaluated by another program. With one sugar alone the
// first step is V S / (K + S) X.
TEST_CASE("the sugars start at the published rates") {
  const auto reference = test::reference_json("kinetics_reference.json")["gee_ramirez"];
  for (const std::string at : {"8", "12", "16", "20"}) {
    CAPTURE(at);
    const double celsius = std::stod(at);
    const double v_g = reference["mu_G"]["rate_at"][at];
    const double k_g = reference["K_G"]["rate_at"][at];
    const double v_m = reference["mu_M"]["rate_at"][at];
    const double k_m = reference["K_M"]["rate_at"][at];
    const auto glucose = sequential_sugars(Sugars{100.0, 0.0, 0.0, 50.0});
    glucose->advance(0.01, celsius);
    CHECK(glucose->fallen() == Approx(0.01 * v_g * 100.0 / (k_g + 100.0) * 50.0 / 100.0).epsilon(1e-9));
    const auto maltose = sequential_sugars(Sugars{0.0, 100.0, 0.0, 50.0});
    maltose->advance(0.01, celsius);
    CHECK(maltose->fallen() == Approx(0.01 * v_m * 100.0 / (k_m + 100.0) * 50.0 / 100.0).epsilon(1e-9));
  }
}

TEST_CASE("every family halves when asked, never rises, and ends") {
  constexpr Family kAll[] = {Family::logistic,    Family::asymmetric, Family::tailed,
                             Family::gompertz,    Family::sugars,     Family::settling,
                             Family::exponential, Family::limited,    Family::stretched};
  for (const Family family : kAll) {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      CAPTURE(name(family), seed);
      const auto kinetics = kinetics_of(family, 50.0, 18.0, Tail::ordinary, Random(seed));
      double now_h = 0.0;
      advance_to(*kinetics, now_h, 50.0, 18.0);
      REQUIRE(kinetics->fallen() == Approx(0.5).margin(0.01));
      double before = kinetics->fallen();
      while (now_h < 3000.0) {
        advance_to(*kinetics, now_h, now_h + 1.0, 18.0);
        REQUIRE(kinetics->fallen() >= before - 1e-12);
        before = kinetics->fallen();
      }
      REQUIRE(before == Approx(1.0).margin(0.005));
    }
  }
}
