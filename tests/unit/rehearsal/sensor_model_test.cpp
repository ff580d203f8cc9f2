#include "rehearsal/sensor_model.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

using namespace gyle;

namespace {

// A beer whose values are known exactly, so that the rest is the sensor's.
Truth still_beer(double lasts_days, double fall_per_day = 0.0) {
  Truth truth{};
  truth.pitched = Time(hours(24 * 20000));
  truth.grid = minutes(10);
  for (int i = 0; i <= static_cast<int>(lasts_days * 144.0); ++i) {
    truth.gravity.push_back(1.020 - fall_per_day * i / 144.0);
    truth.beer_temperature.push_back(19.0);
    truth.ambient_temperature.push_back(17.0);
  }
  return truth;
}

// Exact readings every 15 min.
Hydrometer exact() {
  Hydrometer f;
  f.radio.sensor = "hydrometer";
  f.radio.jitter = 0.0;
  f.white_sd = f.correlated_sd = f.spike_chance = f.resolution = f.temperature_sd = f.temperature_resolution =
      0.0;
  return f;
}

std::vector<double> values_of(const std::vector<RehearsedMessage>& messages, Quantity quantity) {
  std::vector<double> values;
  for (const auto& message : messages) {
    for (const auto& reading : message.readings) {
      if (reading.quantity == quantity) values.push_back(reading.value);
    }
  }
  return values;
}

double sd_of(const std::vector<double>& values) {
  double mean = 0.0;
  for (double v : values) mean += v / static_cast<double>(values.size());
  double sum = 0.0;
  for (double v : values) sum += (v - mean) * (v - mean);
  return std::sqrt(sum / static_cast<double>(values.size()));
}

}  // namespace

TEST_CASE("without noise or faults a hydrometer shows the truth") {
  const Truth truth = still_beer(2.0, 0.004);
  for (const auto& message : messages_of(exact(), truth, Random(1))) {
    REQUIRE(message.readings[0].value == Approx(truth.gravity_at(message.stamp)).epsilon(1e-12));
    REQUIRE(message.delivered == message.stamp);
  }
}

// Standard deviations as configured; 60 days of readings every 15 min leave a relative error below 2 %.
TEST_CASE("noise has the configured size and correlation, and grows with activity") {
  Hydrometer f = exact();
  f.white_sd = 0.0005;
  const auto white = values_of(messages_of(f, still_beer(60.0), Random(3)), Quantity::gravity);
  CHECK(sd_of(white) == Approx(0.0005).epsilon(0.04));

  f.white_sd = 0.0;
  f.correlated_sd = 0.0006;
  f.correlation_h = 3.0;
  const auto slow = values_of(messages_of(f, still_beer(60.0), Random(4)), Quantity::gravity);
  CHECK(sd_of(slow) == Approx(0.0006).epsilon(0.12));
  double lagged = 0.0;
  for (std::size_t i = 12; i < slow.size(); ++i) lagged += (slow[i] - 1.020) * (slow[i - 12] - 1.020);
  const double correlation = lagged / static_cast<double>(slow.size() - 12) / (0.0006 * 0.0006);
  CHECK(correlation == Approx(std::exp(-1.0)).margin(0.12));  // 12 readings are 3 h

  f = exact();
  f.white_sd = 0.0005;
  f.active_factor = 3.0;
  const Truth busy = still_beer(2.0, 0.012);
  std::vector<double> residuals;
  for (const auto& message : messages_of(f, busy, Random(5))) {
    if (message.stamp < busy.pitched + hours(1) || message.stamp > busy.end() - hours(1)) continue;
    residuals.push_back(message.readings[0].value - busy.gravity_at(message.stamp));
  }
  CHECK(sd_of(residuals) == Approx(0.0015).epsilon(0.2));
}

TEST_CASE("offset, drift, temperature and resolution change what is shown") {
  Hydrometer f = exact();
  f.offset = 0.003;
  f.drift_per_day = 0.0001;
  f.per_celsius = -0.0002;
  const Truth truth = still_beer(10.0);
  const auto values = values_of(messages_of(f, truth, Random(1)), Quantity::gravity);
  CHECK(values.front() == Approx(1.020 + 0.003 + 0.0002).margin(1e-6));
  CHECK(values.back() == Approx(1.020 + 0.003 + 0.0002 + 0.001).margin(2e-6));
  CHECK(shown_gravity(f, truth, truth.end()) == Approx(1.0242).margin(1e-9));
  f.resolution = 0.001;
  for (double v : values_of(messages_of(f, truth, Random(1)), Quantity::gravity)) {
    REQUIRE(v * 1000.0 == Approx(std::round(v * 1000.0)).margin(1e-6));
  }
}

TEST_CASE("foam lifts a hydrometer and holds it") {
  const Truth truth = still_beer(4.0, 0.005);
  Hydrometer f = exact();
  f.foam = {Foam{20.0, 40.0, 0.004, false}, Foam{60.0, 80.0, 0.0, true}};
  for (const auto& message : messages_of(f, truth, Random(2))) {
    const double hour = in_hours(message.stamp - truth.pitched);
    const double error = message.readings[0].value - truth.gravity_at(message.stamp);
    if (hour > 23.0 && hour < 37.0) {
      REQUIRE(error > 0.001);
    } else if (hour > 61.0 && hour < 79.0) {
      REQUIRE(message.readings[0].value ==
              Approx(truth.gravity_at(truth.pitched + hours(60))).margin(0.0015));
    } else if (hour < 20.0 || hour > 80.1 || (hour > 40.1 && hour < 60.0)) {
      REQUIRE(std::fabs(error) < 1e-9);
    }
  }
}

TEST_CASE("spikes are as frequent as configured") {
  Hydrometer f = exact();
  f.spike_chance = 0.02;
  const auto values = values_of(messages_of(f, still_beer(60.0), Random(6)), Quantity::gravity);
  const auto spikes =
      std::count_if(values.begin(), values.end(), [](double v) { return std::fabs(v - 1.020) > 1e-9; });
  CHECK(static_cast<double>(spikes) / static_cast<double>(values.size()) == Approx(0.02).margin(0.006));
}

TEST_CASE("a frozen hydrometer repeats its gravity while temperature continues; an empty battery ends all") {
  Hydrometer f = exact();
  f.white_sd = 0.0005;
  f.temperature_sd = 0.1;
  f.frozen_after_h = 24.0;
  const Truth truth = still_beer(3.0);
  std::set<double> gravities;
  std::set<double> temperatures;
  for (const auto& message : messages_of(f, truth, Random(7))) {
    if (message.stamp < truth.pitched + hours(24)) continue;
    gravities.insert(message.readings[0].value);
    temperatures.insert(message.readings[1].value);
  }
  CHECK(gravities.size() == 1);
  CHECK(temperatures.size() > 50);

  f.battery_v = 3.5;
  f.battery_v_per_day = 0.2;
  const auto messages = messages_of(f, truth, Random(7));
  CHECK(in_hours(messages.back().stamp - truth.pitched) == Approx(24.0).margin(3.0));
}

TEST_CASE("delivery has gaps, backlogs, late and duplicate messages, and wrong clocks") {
  const Truth truth = still_beer(10.0);
  Hydrometer f = exact();
  f.radio.outages = {Outage{24.0, 36.0, false}, Outage{48.0, 60.0, true}};
  auto messages = messages_of(f, truth, Random(8));
  int lost = 0;
  int burst = 0;
  for (const auto& message : messages) {
    const double hour = in_hours(message.stamp - truth.pitched);
    if (hour >= 24.0 && hour < 36.0) ++lost;
    if (message.delivered == truth.pitched + hours(60)) ++burst;
  }
  CHECK(lost == 0);
  CHECK(burst == Approx(48).margin(1));

  f = exact();
  f.radio.late_chance = 0.1;
  f.radio.duplicate_chance = 0.1;
  messages = messages_of(f, truth, Random(9));
  CHECK(std::is_sorted(messages.begin(), messages.end(),
                       [](const auto& a, const auto& b) { return a.delivered < b.delivered; }));
  CHECK_FALSE(std::is_sorted(messages.begin(), messages.end(),
                             [](const auto& a, const auto& b) { return a.stamp < b.stamp; }));
  std::set<Time> stamps;
  for (const auto& message : messages) stamps.insert(message.stamp);
  CHECK(static_cast<double>(messages.size() - stamps.size()) == Approx(96).margin(48));

  f = exact();
  f.radio.clock_reset = ClockReset{100.0, 5.0, -24.0 * 365 * 40};
  messages = messages_of(f, truth, Random(9));
  const auto wrong = std::count_if(messages.begin(), messages.end(),
                                   [&](const auto& message) { return message.stamp < truth.pitched; });
  CHECK(wrong == Approx(20).margin(1));
}

TEST_CASE("a disconnected probe sends its error values") {
  Probe probe;
  probe.error_chance = 0.05;
  probe.in_beer = true;
  probe.radio.jitter = 0.0;
  const auto messages = messages_of(probe, still_beer(20.0), Random(10));
  const auto beer = values_of(messages, Quantity::beer_temperature);
  const auto errors =
      std::count_if(beer.begin(), beer.end(), [](double v) { return v == 85.0 || v == -127.0; });
  CHECK(static_cast<double>(errors) / static_cast<double>(beer.size()) == Approx(0.05).margin(0.025));
  for (double v : beer) {
    if (v != 85.0 && v != -127.0) REQUIRE(v == Approx(19.0).margin(0.4));
  }
}
