#include "fermentation/battery_watch.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "rehearsal/random.h"
#include "support/reference.h"

using namespace gyle;

namespace {

constexpr double kPi = 3.14159265358979323846;

// A lithium cell as a cellar treats it: it falls by `fall` V an hour; colder nights press it down; and its
// converter has two decimals.
struct Cell {
  double volt = 4.05;
  double fall = 0.002;
  double noise = 0.006;
  double night = 0.0;  // V, half of what a day swings
  double at(double hour, Random& random) const {
    const double shown = volt - fall * hour + noise * random.normal() + night * std::sin(hour / 24 * 2 * kPi);
    return std::round(shown * 100) / 100;
  }
};

constexpr double kEmpty = 3.45;

BatteryWatch watched(const Cell& cell, double to_h, Random& random) {
  BatteryWatch battery;
  for (double hour = 0; hour <= to_h; hour += 0.25) battery.offer(hour, cell.at(hour, random));
  return battery;
}

}  // namespace

// statsmodels' RLM and the roots of Fieller's quadratic: tests/reference/scripts/battery_forecast_ref.py.
// Both iterate to 1e-10 of the slope and better; the crossings lie some hundred hours away.
TEST_CASE("the forecast is where the Huber line meets the level, with Fieller's interval") {
  const auto reference = test::reference_json("battery_forecast.json");
  REQUIRE(reference["level_volt"] == kEmpty);
  for (const auto& row : reference["cases"]) {
    CAPTURE(row["name"]);
    BatteryWatch battery;
    const auto t = row["t"].get<std::vector<double>>();
    const auto volt = row["volt"].get<std::vector<double>>();
    for (std::size_t i = 0; i < t.size(); ++i) battery.offer(t[i], volt[i]);
    battery.offer(t.back() + 6, volt.back());  // closes the last mean
    const auto empty = battery.empty_h();
    REQUIRE(empty);
    CHECK(empty->value == Approx(row["empty_h"].get<double>()).epsilon(1e-6));
    CHECK(empty->low == Approx(row["low_h"].get<double>()).epsilon(1e-6));
    CHECK(empty->high == Approx(row["high_h"].get<double>()).epsilon(1e-6));
  }
}

// The truth is known: it will be nearly empty at (4.05 - 3.45) / fall.
TEST_CASE("eighty in a hundred intervals hold the hour at which it is nearly empty") {
  const double night = GENERATE(0.0, 0.015);
  const double fall = GENERATE(0.0008, 0.002);
  CAPTURE(night, fall);
  Random random(7);
  int held = 0;
  constexpr int kBatteries = 300;
  double error = 0;
  for (int i = 0; i < kBatteries; ++i) {
    const auto empty = watched({4.05, fall, 0.006, night}, 200, random).empty_h();
    REQUIRE(empty);
    const double truth = (4.05 - kEmpty) / fall;
    held += empty->low <= truth && truth <= empty->high ? 1 : 0;
    error = std::max(error, std::abs(empty->value - truth) / (truth - 200));
  }
  // The interval is Student's for a few dozen means; with nights it is wider than it need be.
  CHECK(held >= 0.72 * kBatteries);
  CHECK(error < 0.25);
}

TEST_CASE("there is no forecast without a significant fall") {
  Random random(3);
  int forecasts = 0;
  for (int i = 0; i < 200; ++i) {
    if (watched({3.9, 0, 0.006, 0.02}, 10 + i, random).empty_h()) ++forecasts;
  }
  CHECK(forecasts <= 6);  // one in a hundred is allowed by the test of the slope
  CHECK_FALSE(watched({3.9, 0.002}, 30, random).empty_h());  // too little seen
}

// Flat, then steep: what was learnt on the flat part must not outweigh the end.
TEST_CASE("when a battery starts to fall fast, the slow days before are dropped") {
  Random random(5);
  BatteryWatch battery;
  const auto volt = [](double h) { return h < 200 ? 3.80 - 0.0003 * h : 3.74 - 0.003 * (h - 200); };
  for (double hour = 0; hour <= 260; hour += 0.25) {
    battery.offer(hour, volt(hour) + 0.004 * random.normal());
  }
  const double truth = 200 + (3.74 - kEmpty) / 0.003;
  REQUIRE(battery.empty_h());
  CHECK(battery.empty_h()->value == Approx(truth).margin(20));
  CHECK_FALSE(battery.nearly_empty());
}

// A cold crash presses the voltage down once and for all; a day later nothing falls any more.
TEST_CASE("a cold day is not a dying battery") {
  Random random(11);
  BatteryWatch battery;
  double soonest = 1e9;
  for (double hour = 0; hour <= 400; hour += 0.25) {
    const double cold = 0.08 * std::clamp((hour - 200) / 36, 0.0, 1.0);
    battery.offer(hour, 4.0 - 0.0002 * hour - cold + 0.004 * random.normal());
    if (battery.empty_h()) soonest = std::min(soonest, battery.empty_h()->value - hour);
  }
  CHECK(soonest > 96);  // never near enough to be reported
  CHECK(battery.changes() == 0);
}

TEST_CASE("another battery starts from the beginning") {
  Random random(13);
  const auto [from, to] = GENERATE(table<double, double>({{3.5, 4.1}, {1.15, 1.5}, {2.5, 3.1}}));
  CAPTURE(from, to);
  BatteryWatch battery;
  for (double hour = 0; hour < 100; hour += 0.25) {
    battery.offer(hour, from + 0.001 * (100 - hour) + 0.003 * random.normal());
  }
  REQUIRE(battery.empty_h());
  battery.offer(100, to);
  battery.offer(100.25, to);
  CHECK(battery.changes() == 0);  // two wild readings are none
  battery.offer(100.5, to);
  CHECK(battery.changes() == 1);
  CHECK_FALSE(battery.empty_h());
  CHECK(battery.volt() == to);
  for (double hour = 101; hour < 140; hour += 0.25) battery.offer(hour, to + 0.003 * random.normal());
  CHECK(battery.changes() == 1);
  CHECK_FALSE(battery.nearly_empty());
}

TEST_CASE("nearly empty takes several readings, and is withdrawn well above the limit") {
  BatteryWatch battery;
  double hour = 0;
  const auto offer = [&](double volt) { battery.offer(hour += 0.25, volt); };
  for (double volt : {3.6, 3.44, 3.44}) offer(volt);
  CHECK_FALSE(battery.nearly_empty());
  offer(3.44);
  CHECK(battery.nearly_empty());
  for (int i = 0; i < 20; ++i) offer(3.48);  // at the edge nothing changes
  CHECK(battery.nearly_empty());
  for (int i = 0; i < 20; ++i) offer(3.52);
  CHECK(battery.far_from_empty());
}

TEST_CASE("a voltage that is delivered again, or late, counts once") {
  Random random(17);
  BatteryWatch once, often;
  for (double hour = 0; hour < 90; hour += 0.25) {
    const double volt = Cell{}.at(hour, random);
    once.offer(hour, volt);
    for (int i = 0; i < 3; ++i) often.offer(hour, volt);
    often.offer(hour - 1, 1.0);
  }
  REQUIRE(once.empty_h());
  CHECK(once.empty_h()->value == often.empty_h()->value);
}
