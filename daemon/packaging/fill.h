#pragma once

#include <optional>
#include <string_view>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/view.h"
#include "packaging/packaging_caution.h"
#include "units/temperature.h"

namespace gyle {

// Where the gas of a closed-in beer comes from.
enum class GasSource {
  priming,   // sugar, which the yeast ferments
  cylinder,  // at the pressure of its gauge
};
const char* name(GasSource gas);  // "priming", "cylinder"
std::optional<GasSource> gas_source_named(std::string_view text);

// What a packaged beer, or a part of it, was filled into.
struct Fill {
  Time time;
  Container container = Container::bottles;
  int count = 0;           // 1 to kMostContainers
  double litres_each = 0;  // above 0, to kLargestContainer
  GasSource gas = GasSource::priming;
  Celsius storage{20};  // where it is kept until it is carbonated; kColdestStorage to kWarmestStorage

  double litres() const { return count * litres_each; }
  bool operator==(const Fill&) const = default;
};
constexpr int kMostContainers = 10'000;
constexpr double kLargestContainer = 1000;
constexpr Celsius kColdestStorage{-2}, kWarmestStorage{45};

// Errc::out_of_range, with the range.
Status check_fill(const Fill& fill);

// When a fill has its gas, if it stays at its temperature: the likely moment, and the 80 % interval. Absent
// for a primed beer below kColdestPriming, where many ale yeasts stop.
//   priming   14 days at 20 degC, 9 to 24 of them in 8 of 10 cases; half as long for each 10 degC more. Above
//             kWarmestPriming it counts as there
//   cylinder  7 days at rest on its gauge's pressure, 4 to 12
//   source    both: common practice, no source
std::optional<TimeInterval> carbonated(const Fill& fill);
constexpr Celsius kColdestPriming{10}, kWarmestPriming{30};

}  // namespace gyle
