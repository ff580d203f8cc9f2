#include "series/page_hinkley.h"

#include <catch2/catch.hpp>

#include "support/reference.h"

using namespace gyle;

// The data of Montgomery's CUSUM example (Introduction to Statistical Quality Control): 20 readings about 10,
// then 10 about 11. Statistic by definition, evaluated with NumPy (tests/reference/scripts/stats_ref.py).
TEST_CASE("Page and Hinkley's statistic agrees with its definition on a textbook series") {
  const auto row = test::reference_json("stats_reference.json")["page_hinkley"];
  PageHinkley detector(row["delta"], row["lam"]);
  int first_alarm = 0;
  for (std::size_t i = 0; i < row["x"].size(); ++i) {
    const bool alarm = detector.add(row["x"][i]);
    CAPTURE(i);
    CHECK(detector.mean() == Approx(row["running_mean"][i].get<double>()).epsilon(1e-12));
    CHECK(detector.statistic() == Approx(row["stat"][i].get<double>()).margin(1e-9));
    if (alarm && first_alarm == 0) first_alarm = static_cast<int>(i) + 1;
  }
  CHECK(first_alarm == row["first_alarm"].get<int>());
}
