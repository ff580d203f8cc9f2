#include "reports/forecasts_csv.h"

#include "base/rfc3339.h"
#include "reports/csv.h"

namespace gyle {
namespace {

struct ThreeFields {
  std::string value, low, high;
};

template <class T, class Text>
ThreeFields three_fields(const std::optional<IntervalOf<T>>& interval, Text text) {
  if (!interval) return {};
  return {text(interval->value), text(interval->low), text(interval->high)};
}

}  // namespace

std::string forecasts_csv_header() {
  return csv_record({"time", "final_gravity", "final_gravity_low", "final_gravity_high", "final_time",
                     "final_time_low", "final_time_high", "step", "step_time", "step_time_low",
                     "step_time_high"});
}

std::string forecasts_csv_row(const Forecast& forecast) {
  const ThreeFields gravity =
      three_fields(forecast.final_gravity, [](double sg) { return csv_number(sg, 5); });
  const ThreeFields end = three_fields(forecast.final_time, csv_time);
  const ThreeFields step = three_fields(forecast.step_time, csv_time);
  return csv_record({format_rfc3339(forecast.time), gravity.value, gravity.low, gravity.high, end.value,
                     end.low, end.high, forecast.step ? std::to_string(*forecast.step) : "", step.value,
                     step.low, step.high});
}

}  // namespace gyle
