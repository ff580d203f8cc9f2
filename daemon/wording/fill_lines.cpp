#include "wording/fill_lines.h"

#include <fmt/format.h>

#include "wording/format.h"
#include "wording/outlook_lines.h"
#include "wording/packaging_lines.h"

namespace gyle {

std::string fill_words(const Fill& fill, const DisplaySettings& display) {
  const std::string each = show_container(fill.litres_each, display);
  if (fill.container == Container::keg) {
    return fmt::format("{} keg{} of {}", fill.count, fill.count == 1 ? "" : "s", each);
  }
  return fmt::format("{} bottle{} of {}", fill.count, fill.count == 1 ? "" : "s", each);
}

std::string carbonated_sentence(const Fill& fill, const DisplaySettings& display, Time now) {
  const std::string kept = show_temperature(fill.storage.value, display);
  const auto when = carbonated(fill);
  if (!when) {
    return fmt::format(
        "At {} many ale yeasts stop, and it may get no gas. Keep it at {} until a test bottle has gas.", kept,
        show_temperature_range(18, 22, display));
  }
  const bool primed = fill.gas == GasSource::priming;
  if (when->high <= now) {
    return fmt::format("By a rule of thumb it has had its gas since about {}.",
                       show_day(when->value, display));
  }
  return fmt::format(
      "Expected to have its gas about {}, in 8 of 10 cases {}, by a rule of thumb and if it stays {}. {}",
      show_day(when->value, display), show_span(*when, display), primed ? "at " + kept : "on its pressure",
      fill.container == Container::bottles ? "Chill one bottle then, and open that one first."
                                           : "Draw a glass then.");
}

std::vector<std::string> fill_lines(std::span<const NumberedFill> fills, std::optional<double> batch_l,
                                    const DisplaySettings& display, Time now) {
  std::vector<std::string> lines;
  double litres = 0;
  for (const NumberedFill& one : fills) {
    litres += one.fill.litres();
    lines.push_back(fmt::format("{:>3}  {}  {}, {}, kept at {}", one.id,
                                show_time_from(one.fill.time, display, now), fill_words(one.fill, display),
                                one.fill.gas == GasSource::priming ? "primed" : "gas from a cylinder",
                                show_temperature(one.fill.storage.value, display)));
    lines.push_back("     " + carbonated_sentence(one.fill, display, now));
  }
  if (fills.empty()) return {"Not entered yet what it was filled into."};
  if (fills.size() > 1) lines.push_back(fmt::format("Together {}.", show_volume(litres, display)));
  if (batch_l && litres > 1.05 * *batch_l) {
    lines.push_back(
        fmt::format("That is more than the batch, {}: check the count.", show_volume(*batch_l, display)));
  }
  return lines;
}

}  // namespace gyle
