#include "calibration/calibration_curves.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

// A rising line: 1.000 at 25 degrees, 0.002 a degree.
const CalibrationCurves kCurves{{"hydrometer", {{{0.950, 0.002, 0, 0}}, 23, 60}}};

std::vector<Reading> judged(const Reading& reading, const CalibrationCurves& curves = kCurves) {
  std::vector<Reading> learned;
  as_judged(reading, curves, [&](const Reading& one) { learned.push_back(one); });
  return learned;
}

Reading reading(const char* sensor, Quantity quantity, double value) {
  return {Time(hours(12)), sensor, quantity, value, TimeQuality::backlog};
}

}  // namespace

TEST_CASE("the inclination of a calibrated hydrometer also gives a gravity, with its time and quality") {
  const auto learned = judged(reading("hydrometer", Quantity::inclination, 45));
  REQUIRE(learned.size() == 2);
  CHECK(learned[0].quantity == Quantity::inclination);
  CHECK(learned[0].value == 45);
  CHECK(learned[1].quantity == Quantity::gravity);
  CHECK(learned[1].value == Approx(1.040));
  CHECK(learned[1].sensor == "hydrometer");
  CHECK(learned[1].time == Time(hours(12)));
  CHECK(learned[1].time_quality == TimeQuality::backlog);
}

TEST_CASE("an inclination outside the calibrated range gives no gravity") {
  for (const double inclination : {22.9, 60.1, 179.0})
    CHECK(judged(reading("hydrometer", Quantity::inclination, inclination)).size() == 1);
}

TEST_CASE("the own gravity of a calibrated hydrometer is dropped, everything else passes") {
  CHECK(judged(reading("hydrometer", Quantity::gravity, 1.048)).empty());
  for (const Quantity quantity : {Quantity::beer_temperature, Quantity::battery}) {
    CHECK(judged(reading("hydrometer", quantity, 3.9)).size() == 1);
  }
  CHECK(judged(reading("other", Quantity::gravity, 1.048)).size() == 1);
  CHECK(judged(reading("other", Quantity::inclination, 45)).size() == 1);
  CHECK(judged(reading("hydrometer", Quantity::gravity, 1.048), {}).size() == 1);
}
