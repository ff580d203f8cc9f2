#include "packaging/fill.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gyle {

const char* name(GasSource gas) { return gas == GasSource::priming ? "priming" : "cylinder"; }

std::optional<GasSource> gas_source_named(std::string_view text) {
  for (const GasSource gas : {GasSource::priming, GasSource::cylinder}) {
    if (text == name(gas)) return gas;
  }
  return std::nullopt;
}

Status check_fill(const Fill& fill) {
  if (fill.count < 1 || fill.count > kMostContainers) {
    return fail(Errc::out_of_range, fmt::format("{} {}: 1 to {} are possible", fill.count,
                                                name(fill.container), kMostContainers));
  }
  if (!(fill.litres_each > 0 && fill.litres_each <= kLargestContainer)) {
    return fail(Errc::out_of_range, fmt::format("{:g} L in each: above 0, up to {:g} L are possible",
                                                fill.litres_each, kLargestContainer));
  }
  if (!(fill.storage >= kColdestStorage && fill.storage <= kWarmestStorage)) {
    return fail(Errc::out_of_range,
                fmt::format("kept at {:g} C: {:g} to {:g} C are possible", fill.storage.value,
                            kColdestStorage.value, kWarmestStorage.value));
  }
  return success();
}

std::optional<TimeInterval> carbonated(const Fill& fill) {
  const auto after = [&](double days) { return fill.time + from_hours(24 * days); };
  if (fill.gas == GasSource::cylinder) return TimeInterval{after(7), after(4), after(12)};
  if (fill.storage < kColdestPriming) return std::nullopt;
  const double warmth = std::min(fill.storage, kWarmestPriming).value;
  const double longer = std::exp2((20 - warmth) / 10);
  return TimeInterval{after(14 * longer), after(9 * longer), after(24 * longer)};
}

}  // namespace gyle
