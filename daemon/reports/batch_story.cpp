#include "reports/batch_story.h"

#include <algorithm>
#include <cmath>

#include "packaging/warmest_beer.h"
#include "units/residual_co2.h"

namespace gyle {
namespace {

constexpr Duration kLongestHeld = hours(2);  // so long a temperature counts without a new one

std::optional<AlcoholRoutes> alcohol_at(double original, double gravity) {
  const auto found =
      alcohol_by_routes(SpecificGravity::unchecked(original), SpecificGravity::unchecked(gravity));
  return found ? std::optional(found.value()) : std::nullopt;
}

void find_alcohol(const BatchView& view, StoryFigures& figures) {
  if (!view.original_gravity || !view.gravity) return;
  const double original = *view.original_gravity;
  figures.alcohol = alcohol_at(original, std::min(view.gravity->value, original));
  if (figures.alcohol) {
    figures.energy_100_ml =
        energy_in(0.1, *figures.alcohol, SpecificGravity::unchecked(std::min(view.gravity->value, original)));
  }
  const auto least = alcohol_at(original, std::min(view.gravity->high, original));
  const auto most = alcohol_at(original, std::min(view.gravity->low, original));
  if (figures.alcohol && least && most) {
    figures.alcohol_volume =
        Interval{figures.alcohol->volume_balling, least->volume_balling, most->volume_balling};
  }
}

void find_temperatures(const BatchStory& story, StoryFigures& figures) {
  double sum = 0, total = 0, within = 0;
  const Yeast& yeast = story.spec.yeast;
  for (std::size_t i = 0; i < story.curve.size(); ++i) {
    if (!story.curve[i].temperature) continue;
    const double celsius = story.curve[i].temperature->value;
    if (!std::isfinite(celsius)) continue;
    const Duration next =
        i + 1 < story.curve.size() ? story.curve[i + 1].time - story.curve[i].time : minutes(1);
    const double weight = in_seconds(std::clamp<Duration>(next, seconds(1), kLongestHeld));
    if (!figures.beer) figures.beer = Interval{celsius, celsius, celsius};
    figures.beer->low = std::min(figures.beer->low, celsius);
    figures.beer->high = std::max(figures.beer->high, celsius);
    sum += weight * celsius;
    total += weight;
    if (celsius >= yeast.temperature_low.value && celsius <= yeast.temperature_high.value) within += weight;
  }
  if (total <= 0) return;
  figures.beer->value = sum / total;
  figures.within_range = within / total;
}

void find_gas(const BatchStory& story, StoryFigures& figures) {
  if (!story.view.final_gravity_since) return;
  const Time end = story.packaged.value_or(story.view.time);
  const auto warmest = warmest_beer(story.beer, gas_kept_since(story.spec, story.view, end), end);
  if (!warmest) return;
  figures.warmest_celsius = warmest->value;
  if (const auto volumes = residual_co2_volumes(std::clamp(*warmest, Celsius{0}, Celsius{30}))) {
    figures.residual_co2 = volumes.value();
  }
}

}  // namespace

StoryFigures figures_of(const BatchStory& story) {
  StoryFigures figures;
  find_alcohol(story.view, figures);
  find_temperatures(story, figures);
  find_gas(story, figures);
  for (std::size_t i = 1; i < story.curve.size(); ++i) {
    figures.longest_gap = std::max(figures.longest_gap, story.curve[i].time - story.curve[i - 1].time);
  }
  return figures;
}

}  // namespace gyle
