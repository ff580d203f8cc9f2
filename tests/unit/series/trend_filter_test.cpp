#include "series/trend_filter.h"

#include <catch2/catch.hpp>

#include "series/trend_bank.h"
#include "support/reference.h"

using namespace gyle;

namespace {

double level(const TrendFilter& filter) { return filter.mean()[TrendFilter::kLevel]; }
double variance(const TrendFilter& filter, std::size_t i, std::size_t j) { return filter.covariance()[i][j]; }

}  // namespace

// Annual flow of the Nile at Aswan, 1871 to 1970 (Cobb 1978; Durbin and Koopman), known start N(0, 1e7), with
// the published variances; filtered by statsmodels (tests/reference/scripts/kalman_ref.py).
TEST_CASE("with the rate held at nothing it is the local level filter of the Nile") {
  const auto reference = test::reference_json("nile_local_level.json");
  const auto known = reference["known_init_a0_0_P0_1e7"];
  TrendFilter filter(0, 0, {1e7, 0, 0, 0});
  const double observed_var = reference["sigma2_eps"];
  for (std::size_t i = 0; i < reference["y"].size(); ++i) {
    if (i > 0) filter.predict(1, {reference["sigma2_eta"], 0, 0, 1});
    CAPTURE(i);
    CHECK(filter.expect(0, observed_var).variance ==
          Approx(known["innovation_var"][i].get<double>()).epsilon(1e-9));
    filter.update(reference["y"][i], 0, observed_var);
    CHECK(level(filter) == Approx(known["filtered_state"][i].get<double>()).epsilon(1e-9));
    CHECK(variance(filter, 0, 0) == Approx(known["filtered_var"][i].get<double>()).epsilon(1e-8));
  }
}

// Local linear trend with gaps: statsmodels with missing values, seed in
// tests/reference/scripts/kalman_ref.py.
TEST_CASE("gaps are stepped over as if every hour had been predicted") {
  const auto reference = test::reference_json("trend_irregular.json");
  TrendFilter filter(50, 0, {100, 1, 0, 0});
  double last = 0;
  for (std::size_t i = 0; i < reference["t"].size(); ++i) {
    if (reference["y"][i].is_null()) continue;
    const double t = reference["t"][i];
    filter.predict(t - last, {0, reference["q"], 0, 1});
    last = t;
    filter.update(reference["y"][i], 0, reference["obs_var"]);
    CAPTURE(t);
    CHECK(level(filter) == Approx(reference["filtered_level"][i].get<double>()).epsilon(1e-10));
    CHECK(filter.mean()[TrendFilter::kRate] ==
          Approx(reference["filtered_slope"][i].get<double>()).margin(1e-10));
    CHECK(variance(filter, 0, 0) == Approx(reference["filtered_var_level"][i].get<double>()).epsilon(1e-8));
    CHECK(variance(filter, 1, 1) == Approx(reference["filtered_var_slope"][i].get<double>()).epsilon(1e-8));
    CHECK(variance(filter, 0, 1) == Approx(reference["filtered_cov"][i].get<double>()).margin(1e-9));
  }
}

TEST_CASE("two short predictions are one long one, with every kind of noise") {
  const TrendNoise noise{0.02, 0.003, 0.5, 3, 16};
  TrendFilter once(50, -0.4, {1, 0.04, 0.1, 0.01});
  TrendFilter twice = once;
  once.predict(5, noise);
  twice.predict(2, noise);
  twice.predict(3, noise);
  for (std::size_t i = 0; i < TrendFilter::kStates; ++i) {
    CHECK(once.mean()[i] == Approx(twice.mean()[i]));
    for (std::size_t j = 0; j < TrendFilter::kStates; ++j) {
      CHECK(variance(once, i, j) == Approx(variance(twice, i, j)).margin(1e-12));
    }
  }
}

TEST_CASE("a bank of filters follows a quiet series closely and finds a new rate") {
  TrendBank bank(50, 0, {1, 0.01, 0.01, 0});
  for (int hour = 1; hour <= 72; ++hour) {
    bank.predict(1, 0.1, 3, 0);
    bank.update(50 + 0.2 * (hour % 2 == 0 ? 1 : -1), 0, 0.04);
  }
  const auto quiet = bank.mixture();
  CHECK(level(quiet) == Approx(50).margin(0.05));
  CHECK(bank.weights()[0] > 0.5);
  for (int hour = 1; hour <= 24; ++hour) {
    bank.predict(1, 0.1, 3, 0);
    bank.update(50 - 0.5 * hour, 0, 0.04);
  }
  CHECK(level(bank.mixture()) == Approx(38).margin(0.4));
  CHECK(bank.mixture().mean()[TrendFilter::kRate] == Approx(-0.5).margin(0.1));
}
