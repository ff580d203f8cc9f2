#include "reports/curve_csv.h"

#include "base/rfc3339.h"
#include "reports/csv.h"

namespace gyle {

std::string curve_csv_header() {
  return csv_record({"time", "gravity_raw", "gravity", "gravity_low", "gravity_high", "temperature",
                     "attenuation", "stage"});
}

std::string curve_csv_header_with_units() {
  return csv_record({"time_utc", "gravity_raw_sg", "gravity_sg", "gravity_low_sg", "gravity_high_sg",
                     "temperature_celsius", "attenuation_fraction", "stage"});
}

std::string curve_csv_row(const CurvePoint& point) {
  const auto celsius = point.temperature ? std::optional(point.temperature->value) : std::nullopt;
  return csv_record({format_rfc3339(point.time), csv_number(point.gravity_raw, 5),
                     csv_number(point.gravity.value, 5), csv_number(point.gravity.low, 5),
                     csv_number(point.gravity.high, 5), csv_number(celsius, 2),
                     csv_number(point.attenuation, 4), name(point.stage)});
}

}  // namespace gyle
