#include "units/carbonation.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "units/us_customary.h"

namespace gyle {
namespace {

constexpr double kAtmosphereBar = 1.01325;
constexpr double kAtmospherePsi = 14.695;  // of the chart's fit
constexpr double kChartOffset = 0.003342;  // volumes
constexpr double kLeastCelsius = -2, kMostCelsius = 45;

double henry_volumes_per_bar(Celsius beer) {
  return 10 * std::exp(-10.73797 + 2617.25 / (beer.value + 273.15)) / kCo2GramsPerVolume;
}
double chart_volumes_per_psi(Celsius beer) {
  return 0.01821 + 0.090115 * std::exp(-(to_fahrenheit(beer) - 32) / 43.11);
}

Status within(Celsius beer) {
  if (beer.value >= kLeastCelsius && beer.value <= kMostCelsius) return success();
  return fail(Errc::out_of_range,
              fmt::format("what beer holds at {:.1f} °C is not known; from {:.0f} to {:.0f} °C it is",
                          beer.value, kLeastCelsius, kMostCelsius));
}

}  // namespace

Result<double> carbonation_volumes(Celsius beer, double gauge_bar, CarbonationFit fit) {
  BOOST_OUTCOME_TRY(within(beer));
  if (!(gauge_bar >= -1 && gauge_bar <= 20)) {
    return fail(Errc::out_of_range, fmt::format("{:.2f} bar on the gauge is not from -1 to 20", gauge_bar));
  }
  if (fit == CarbonationFit::henry) return (gauge_bar + kAtmosphereBar) * henry_volumes_per_bar(beer);
  return (gauge_bar * kPsiPerBar + kAtmospherePsi) * chart_volumes_per_psi(beer) - kChartOffset;
}

Result<double> carbonation_gauge_bar(Celsius beer, double volumes, CarbonationFit fit) {
  BOOST_OUTCOME_TRY(within(beer));
  if (!(volumes > 0 && volumes <= 20)) {
    return fail(Errc::out_of_range, fmt::format("{:.2f} volumes are not above 0 and up to 20", volumes));
  }
  if (fit == CarbonationFit::henry) return volumes / henry_volumes_per_bar(beer) - kAtmosphereBar;
  return ((volumes + kChartOffset) / chart_volumes_per_psi(beer) - kAtmospherePsi) / kPsiPerBar;
}

Result<double> most_gauge_bar(Celsius beer, double volumes) {
  BOOST_OUTCOME_TRY(henry, carbonation_gauge_bar(beer, volumes, CarbonationFit::henry));
  BOOST_OUTCOME_TRY(chart, carbonation_gauge_bar(beer, volumes, CarbonationFit::chart));
  return std::max(henry, chart);
}

}  // namespace gyle
