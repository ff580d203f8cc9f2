#include "wording/sample_lines.h"

#include <fmt/format.h>

#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

std::string span(const Interval& gravity, const DisplaySettings& display) {
  return fmt::format("{} (between {} and {})", show_gravity(gravity.value, display, 4),
                     show_gravity(gravity.low, display, 4), show_gravity(gravity.high, display, 4));
}

std::string show_offset(const PointsInterval& offset, const DisplaySettings& display) {
  return fmt::format("{} {} ± {}", show_gravity_change(std::abs(offset.value.value), display),
                     offset.value.value < 0 ? "too low" : "too high",
                     show_gravity_change((offset.high.value - offset.low.value) / 2, display));
}

}  // namespace

std::vector<std::string> sample_lines(SpecificGravity sample, const BatchView& before, const BatchView& after,
                                      const DisplaySettings& display) {
  std::vector<std::string> lines{fmt::format(
      "The sample is {} at {}.", show_gravity(sample.value(), display, 4), show_temperature(20, display))};
  if (!before.gravity || !after.gravity) {
    lines.emplace_back(
        "No hydrometer has been heard yet; the sample is kept and will count with its readings.");
    return lines;
  }
  lines.push_back(fmt::format("Estimated gravity: {} before, {} now.", span(*before.gravity, display),
                              span(*after.gravity, display)));
  if (before.offset && after.offset) {
    lines.push_back(fmt::format("The hydrometer was taken to read {}, and now {}.",
                                show_offset(*before.offset, display), show_offset(*after.offset, display)));
  }
  return lines;
}

}  // namespace gyle
