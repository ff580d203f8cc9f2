#include "fermentation/course_shapes.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/reference.h"

using namespace gyle;

namespace {

nlohmann::json curves() { return test::reference_json("kinetics_reference.json")["curves"]; }

}  // namespace

// Form of ASBC Yeast-14 after Speers, Rogers and Smith 2003.
TEST_CASE("the logistic is the one of the miniature fermentation method") {
  const auto row = curves()["yeast14_logistic"];
  const double first = row["Pi"], last = row["Pe"], rate = -row["B"].get<double>();
  for (std::size_t i = 0; i < row["t"].size(); ++i) {
    const double done = logistic_done(row["t"][i], rate, row["M"]);
    CHECK(first - (first - last) * done == Approx(row["y"][i].get<double>()).epsilon(1e-12));
    CHECK(richards_done(row["t"][i], rate, row["M"], 1.0) == Approx(done).epsilon(1e-12));
  }
  // Steepest at the middle, at a quarter of the rate times the fall.
  const double at_middle = (logistic_done(38.01, rate, 38) - logistic_done(37.99, rate, 38)) / 0.02;
  CHECK(at_middle * (first - last) == Approx(row["max_rate_P_per_h"].get<double>()).epsilon(1e-5));
  CHECK(logistic_done(38 + std::log(9) / rate, rate, 38) == Approx(0.9));
}

// Zwietering and co-workers 1990.
TEST_CASE("Gompertz is the modified one of growth curves") {
  const auto row = curves()["modified_gompertz"];
  const double a = row["A"], mu = row["mu"];
  for (std::size_t i = 0; i < row["t"].size(); ++i) {
    CHECK(a * gompertz_done(row["t"][i], mu / a, row["lam"]) ==
          Approx(row["y"][i].get<double>()).epsilon(1e-12));
  }
}

// de Andres-Toro and co-workers 1998, integrated by SciPy (tests/reference/scripts/kinetics_ref.py), where
// the model finishes. Half a hundredth of the sugar: a first-order step against a fine one.
TEST_CASE("sedimenting cells use up the published sugar") {
  int compared = 0;
  for (const auto reference = test::reference_json("kinetics_reference.json");
       const auto& row : reference["toro_1998"]) {
    const double celsius = row["T_C"];
    if (celsius > 13) continue;
    const auto done = settling_cells_done(celsius);
    for (std::size_t i = 0; i < row["t_h"].size(); ++i) {
      const auto at = static_cast<std::size_t>(row["t_h"][i].get<double>() * 4);
      CAPTURE(celsius, row["t_h"][i].get<double>());
      CHECK(done[at] == Approx(1 - row["sugar_g_L"][i].get<double>() / 130.0).margin(0.005));
      ++compared;
    }
  }
  CHECK(compared > 40);
}

TEST_CASE("every shape rises from 0 to 1 and has its half at 1") {
  REQUIRE(course_shapes().size() > 30);
  for (const CourseShape& shape : course_shapes()) {
    CHECK(shape.at(0).done == 0.0);
    CHECK(shape.at(-3).done == 0.0);
    CHECK(shape.at(1).done == Approx(0.5).margin(0.003));
    CHECK(shape.at(150).done == Approx(1).margin(1e-3));
    double before = 0;
    for (double x = 0.05; x < 30; x += 0.05) {
      const auto value = shape.at(x);
      CHECK(value.done >= before - 2e-4);
      CHECK(value.slope >= -5e-3);
      before = value.done;
    }
    for (const double done : {0.05, 0.3, 0.75, 0.95})
      CHECK(shape.at(shape.when(done)).done == Approx(done).margin(0.004));
  }
}
