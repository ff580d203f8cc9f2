#pragma once

#include <string>

#include "fermentation/view.h"

namespace gyle {

// The forecasts as CSV: a header, then a row per forecast. Gravities in SG, times in UTC to the second, all
// intervals 80 %; a field is empty where the forecast has no value.
std::string forecasts_csv_header();
std::string forecasts_csv_row(const Forecast& forecast);

}  // namespace gyle
