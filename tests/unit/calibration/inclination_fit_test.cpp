#include "calibration/inclination_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "support/reference.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

std::vector<CalibrationPoint> points(std::initializer_list<std::pair<double, double>> list) {
  std::vector<CalibrationPoint> result;
  for (const auto& [inclination, gravity] : list) {
    result.push_back({inclination, SpecificGravity::unchecked(gravity)});
  }
  return result;
}

std::size_t degree(const InclinationFit& fit) {
  std::size_t n = kHighestDegree;
  while (fit.curve.polynomial.coefficients[n] == 0) --n;
  return n;
}

}  // namespace

// tests/reference/inclination_fit.json: numpy.polyfit of the same degree.
TEST_CASE("a calibration is the least-squares polynomial through its points") {
  const auto reference = test::reference_json("inclination_fit.json");
  for (const auto& row : reference["cases"]) {
    CAPTURE(row["name"].get<std::string>());
    const std::vector<double> inclination = row["inclination"], gravity = row["gravity"];
    std::vector<CalibrationPoint> given;
    for (std::size_t i = 0; i < inclination.size(); ++i) {
      given.push_back({inclination[i], SpecificGravity::unchecked(gravity[i])});
    }
    const auto fit = fit_inclination(given);
    REQUIRE(fit.has_value());
    const auto& expected = row["fits"][degree(fit.value()) - 1];
    double sum = 0;
    for (std::size_t i = 0; i < inclination.size(); ++i) {
      CAPTURE(i);
      const double residual = expected["residuals"][i];
      sum += residual * residual;
      CHECK(fit.value().off(given[i]).value == Approx(-1000 * residual).margin(1e-5));
      CHECK(fit.value().curve.gravity(inclination[i])->value() == Approx(gravity[i] - residual).margin(1e-8));
    }
    const auto free = static_cast<double>(inclination.size()) - static_cast<double>(degree(fit.value()) + 1);
    REQUIRE(fit.value().deviation().has_value() == (free > 0));
    if (free > 0) CHECK(fit.value().deviation()->value == Approx(1000 * std::sqrt(sum / free)).margin(1e-5));
  }
}

// The table of sucrose solutions by weight (plato_sg.csv, after NBS Circular C440), in air as scales weigh.
TEST_CASE("a sugar solution by weight gives the gravity of the sucrose table") {
  const auto rows = test::reference_csv("plato_sg.csv");
  REQUIRE(rows.size() == 32);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    CAPTURE(rows[i][0]);
    const auto point = parse_calibration_point("57.3 = " + rows[i][0] + " P");
    REQUIRE(point.has_value());
    CHECK(point.value().inclination == 57.3);
    CHECK(point.value().gravity.value() == Approx(std::stod(rows[i][3])).margin(2.5e-5).epsilon(0));
  }
}

TEST_CASE("points are read in the usual notations") {
  struct Row {
    const char* text;
    double inclination, gravity;
  };
  const auto good = GENERATE(values<Row>({{"21.4 = 1.000", 21.4, 1.0},
                                          {"21.4=1.000", 21.4, 1.0},
                                          {"  30 deg =  1.0400 SG ", 30, 1.04},
                                          {"61.25° = 1.065", 61.25, 1.065},
                                          {"0 = 0.999", 0, 0.999}}));
  CAPTURE(good.text);
  const auto point = parse_calibration_point(good.text);
  REQUIRE(point.has_value());
  CHECK(point.value().inclination == good.inclination);
  CHECK(point.value().gravity.value() == good.gravity);
}

TEST_CASE("what is not a point is refused, with a valid example") {
  struct Row {
    const char* text;
    Errc code;
    const char* says;
  };
  const auto bad = GENERATE(values<Row>({{"", Errc::malformed, "21.4 = 1.000"},
                                         {"21.4", Errc::malformed, "21.4 = 1.000"},
                                         {"21.4 : 1.000", Errc::malformed, "21.4 = 1.000"},
                                         {"steep = 1.000", Errc::malformed, "inclination in degrees"},
                                         {"nan = 1.000", Errc::malformed, "inclination in degrees"},
                                         {"21 rad = 1.000", Errc::malformed, "inclination in degrees"},
                                         {"21.4 =", Errc::malformed, "21.4 ="},
                                         {"21.4 = 48 furlongs", Errc::malformed, "furlongs"},
                                         {"21.4 = 1048", Errc::out_of_range, "1048"},
                                         {"21.4 = 80 P", Errc::out_of_range, "80 P"},
                                         {"-3 = 1.000", Errc::out_of_range, "0 (upright) and 90"},
                                         {"91 = 1.000", Errc::out_of_range, "0 (upright) and 90"}}));
  CAPTURE(bad.text);
  const auto point = parse_calibration_point(bad.text);
  REQUIRE_FALSE(point.has_value());
  CHECK(point.error().code == bad.code);
  CHECK_THAT(point.error().message, Contains(bad.says));
}

TEST_CASE("there is one point per line") {
  const auto points = parse_calibration_points("19 = 1.000\n\n 38 deg = 1.040\r\n\t\n57 = 1.080");
  REQUIRE(points.has_value());
  REQUIRE(points.value().size() == 3);
  CHECK(points.value()[1].inclination == 38);
  CHECK(points.value()[2].gravity.value() == 1.080);
  CHECK(parse_calibration_points("").value().empty());
  CHECK_THAT(parse_calibration_points("19 = 1.000\n38 : 1.040").error().message, Contains("38 : 1.040"));
}

TEST_CASE("unusable points are refused and named") {
  struct Row {
    const char* name;
    std::vector<CalibrationPoint> points;
    Errc code;
    std::vector<const char*> says;
  };
  const std::vector<Row> rows{
      {"none", {}, Errc::too_few, {"two points or more"}},
      {"one", points({{25, 1.0}}), Errc::too_few, {"two points or more"}},
      {"one inclination twice", points({{25, 1.0}, {25.5, 1.004}}), Errc::too_few, {"1 degree apart"}},
      {"alike", points({{25, 1.000}, {30, 1.008}}), Errc::too_few, {"25° = 1.0000", "30° = 1.0080", "0.010"}},
      {"below the horizontal", points({{25, 1.0}, {95, 1.05}}), Errc::out_of_range, {"95°"}},
      {"no number",
       points({{25, 1.0}, {std::numeric_limits<double>::quiet_NaN(), 1.05}}),
       Errc::out_of_range,
       {"90 degrees"}},
      {"one inclination, two gravities",
       points({{25, 1.0}, {40, 1.030}, {40.4, 1.045}, {60, 1.080}}),
       Errc::conflict,
       {"40° = 1.0300", "40.4° = 1.0450", "contradict"}},
      {"there and back",
       points({{25, 1.0}, {40, 1.030}, {50, 1.055}, {60, 1.040}}),
       Errc::conflict,
       {"50° = 1.0550", "60° = 1.0400", "rises"}},
      {"falling, there and back",
       points({{25, 1.080}, {40, 1.030}, {50, 1.000}, {60, 1.010}}),
       Errc::conflict,
       {"50° = 1.0000", "60° = 1.0100", "falls"}},
      {"one mistaken",  // 1.030 written as 1.040
       points({{25, 1.0}, {33, 1.015}, {41, 1.040}, {49, 1.045}, {57, 1.060}, {65, 1.075}}),
       Errc::conflict,
       {"41° = 1.0400", "give 1.0300 there"}},
  };
  const std::size_t i = GENERATE(range(std::size_t{0}, std::size_t{10}));
  CAPTURE(rows[i].name);
  const auto fit = fit_inclination(rows[i].points);
  REQUIRE_FALSE(fit.has_value());
  CAPTURE(fit.error().message);
  CHECK(fit.error().code == rows[i].code);
  for (const char* const says : rows[i].says) CHECK_THAT(fit.error().message, Contains(says));
}

TEST_CASE("an inclination that falls with gravity can be calibrated too") {
  const auto fit = fit_inclination(points({{70, 1.000}, {50, 1.042}, {35, 1.070}}));
  REQUIRE(fit.has_value());
  CHECK(fit.value().curve.gravity(60)->value() > 1.000);
  CHECK(fit.value().curve.gravity(40)->value() > fit.value().curve.gravity(60)->value());
}

TEST_CASE("outside its range a curve gives no gravity") {
  const auto fit = fit_inclination(points({{25, 1.000}, {45, 1.040}}));
  REQUIRE(fit.has_value());
  const CalibrationCurve& curve = fit.value().curve;
  CHECK(curve.least_inclination == 23);  // a tenth of 20 degrees
  CHECK(curve.most_inclination == 47);
  CHECK(curve.gravity(23)->value() == Approx(0.996));
  CHECK(curve.gravity(47)->value() == Approx(1.044));
  for (const double inclination : {22.9, 47.1, 0.0, 90.0, -1e300, std::numeric_limits<double>::quiet_NaN()}) {
    CAPTURE(inclination);
    CHECK_FALSE(curve.gravity(inclination).has_value());
  }
  // Not beyond horizontal, nor where the gravity is impossible.
  const auto flat = fit_inclination(points({{10, 0.981}, {89, 1.1}}));
  CHECK(flat.value().curve.most_inclination == 90);
  CHECK_FALSE(flat.value().curve.gravity(flat.value().curve.least_inclination).has_value());
}

TEST_CASE("three points give a line where it is close enough, else a parabola through them") {
  CHECK(degree(fit_inclination(points({{25, 1.000}, {45, 1.0405}, {65, 1.080}})).value()) == 1);
  const auto bent = fit_inclination(points({{25, 1.000}, {45, 1.045}, {65, 1.080}}));
  CHECK(degree(bent.value()) == 2);
  CHECK_FALSE(bent.value().deviation().has_value());
}

// Simulated hydrometers with a known curve: bent by up to 6 points in the middle, measured with a standard
// deviation of half a point. The fit is compared with the truth over its range.
TEST_CASE("a curve from few noisy points is monotone and close to the truth") {
  const std::size_t count = GENERATE(3u, 4u, 5u, 6u, 8u);
  CAPTURE(count);
  int within = 0;
  double squares = 0, of_lines = 0;
  constexpr int kHydrometers = 200;
  for (unsigned seed = 1; seed <= kHydrometers; ++seed) {
    CAPTURE(seed);
    std::mt19937 draw(seed);
    const double bend = std::uniform_real_distribution(-6.0, 6.0)(draw);
    const double span = std::uniform_real_distribution(30.0, 45.0)(draw);
    const auto truth = [&](double inclination) {
      const double u = (inclination - 25) / span;  // 0 in water, 1 at 1.080
      return 1 + (80 * u + 4 * bend * u * (1 - u)) / 1000;
    };
    std::normal_distribution noise(0.0, 0.5);
    std::vector<CalibrationPoint> given;
    std::vector<double> x, y;
    for (std::size_t i = 0; i < count; ++i) {
      const double inclination = 25 + span * static_cast<double>(i) / static_cast<double>(count - 1);
      given.push_back({inclination, SpecificGravity::unchecked(truth(inclination) + noise(draw) / 1000)});
      x.push_back(inclination);
      y.push_back(given.back().gravity.value());
    }
    const auto fit = fit_inclination(given);
    REQUIRE(fit.has_value());
    const auto line = fit_polynomial(x, y, 1);
    double most = 0;
    double before = 0;
    for (int i = 0; i <= 100; ++i) {
      const CalibrationCurve& curve = fit.value().curve;
      const double inclination =
          i == 100 ? curve.most_inclination
                   : curve.least_inclination + (curve.most_inclination - curve.least_inclination) * i / 100;
      const double says = curve.gravity(inclination)->value();
      REQUIRE(says > before);
      before = says;
      const double off = 1000 * (says - truth(inclination));
      most = std::fmax(most, std::abs(off));
      squares += off * off;
      of_lines += std::pow(1000 * (line->curve.at(inclination) - truth(inclination)), 2);
    }
    if (most < 2.5) ++within;
  }
  const double rms = std::sqrt(squares / (101.0 * kHydrometers));
  CAPTURE(within, rms, std::sqrt(of_lines / (101.0 * kHydrometers)));
  CHECK(within >= kHydrometers * 19 / 20);
  CHECK(rms < 0.6);
  CHECK(squares < of_lines);
}
