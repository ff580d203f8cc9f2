#include "fermentation/batch.h"

#include <algorithm>

namespace gyle {

std::optional<double> wanted_attenuation(const HoldEnd& until, const Yeast& yeast) {
  if (const auto* progress = std::get_if<UntilProgress>(&until)) {
    return progress->fraction * yeast.expected_attenuation();
  }
  if (const auto* attenuation = std::get_if<UntilAttenuation>(&until)) return attenuation->apparent;
  return std::nullopt;
}

BatchSpec described_after(BatchSpec batch, const Addition& addition, double original) {
  if (!batch.volume_l) return batch;
  const AdditionEffect effect = effect_of(addition, *batch.volume_l);
  batch.volume_l = effect.volume_l;
  if (batch.original_gravity) original = (batch.original_gravity->value() - 1) * 1000;
  const double after = effect.keep * original + effect.points;
  if (batch.original_gravity) batch.original_gravity = SpecificGravity::unchecked(1 + after / 1000);
  if (effect.points > 0 && original > 1) {
    const auto moved = [&](double attenuation) {
      return std::clamp((effect.keep * original * attenuation + effect.sugar_fall) / after, 0.01, 1.09);
    };
    batch.yeast.attenuation_low = moved(batch.yeast.attenuation_low);
    batch.yeast.attenuation_high = moved(batch.yeast.attenuation_high);
  }
  return batch;
}

BatchSpec described_at(BatchSpec batch, Time time) {
  const std::vector<Addition> additions = batch.additions;
  for (const Addition& one : additions) {
    if (one.time <= time) batch = described_after(std::move(batch), one, 0);
  }
  return batch;
}

}  // namespace gyle
