#include "rehearsal/truth.h"

#include <algorithm>
#include <cmath>

namespace gyle {

double Truth::at(const std::vector<double>& series, Time time) const {
  const double position = in_hours(time - pitched) / in_hours(grid);
  if (position <= 0.0) return series.front();
  const double last = static_cast<double>(series.size() - 1);
  if (position >= last) return series.back();
  const auto index = static_cast<std::size_t>(position);
  const double share = position - std::floor(position);
  return series[index] + share * (series[index + 1] - series[index]);
}

double Truth::rate_at(Time time) const {
  return (gravity_at(time - hours(1)) - gravity_at(time + hours(1))) * 1000.0 * 12.0;
}

std::optional<Time> Truth::first_at_or_below(double specific_gravity) const {
  const auto found =
      std::find_if(gravity.begin(), gravity.end(), [&](double value) { return value <= specific_gravity; });
  if (found == gravity.end()) return std::nullopt;
  return pitched + grid * (found - gravity.begin());
}

}  // namespace gyle
