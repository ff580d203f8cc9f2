#include "fermentation/batch.h"

namespace gyle {

std::optional<double> wanted_attenuation(const HoldEnd& until, const Yeast& yeast) {
  if (const auto* progress = std::get_if<UntilProgress>(&until)) {
    return progress->fraction * yeast.expected_attenuation();
  }
  if (const auto* attenuation = std::get_if<UntilAttenuation>(&until)) return attenuation->apparent;
  return std::nullopt;
}

}  // namespace gyle
