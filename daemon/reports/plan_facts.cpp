#include "reports/plan_facts.h"

#include <fmt/format.h>

#include "brewday/heating.h"
#include "brewday/strike.h"
#include "units/us_customary.h"
#include "wording/format.h"

namespace gyle {
namespace {

bool in_litres(const DisplaySettings& display) { return display.volume == DisplaySettings::Volume::litres; }

std::string per_kg(double litres_per_kg, const DisplaySettings& display) {
  return in_litres(display) ? fmt::format("{:.2f} L/kg", litres_per_kg)
                            : fmt::format("{:.3f} gal/lb", litres_per_kg * kKgPerPound / kLitresPerUsGallon);
}

std::string kettle_words(const Recipe& recipe, const KettleFit& fit, const DisplaySettings& display) {
  if (fit.fits()) {
    return fmt::format("fits, with {} to spare{}", show_volume(fit.spare_l, display),
                       fit.only_just(*recipe.kettle.volume_l) ? ": only just" : "");
  }
  const std::string too_much = fmt::format("does not fit, by {}", show_volume(-fit.spare_l, display));
  if (!fit.largest_batch_l) return too_much + "; no batch does";
  return fmt::format("{}; the largest batch that does: {}, with {} of grain", too_much,
                     show_volume(*fit.largest_batch_l, display),
                     show_mass(grain_mass_kg(recipe) * *fit.largest_batch_l / recipe.batch_l, display));
}

}  // namespace

std::vector<PlanFact> plan_facts(const Recipe& recipe, const BrewPlan& plan, const DisplaySettings& display) {
  const auto volume = [&](double litres) { return show_volume(litres, display); };
  const auto gravity = [&](const Wort& wort) { return show_gravity(wort.gravity().value(), display); };
  const std::string cold = "at " + show_temperature(20, display);
  std::vector<PlanFact> facts;
  facts.push_back({"Water", volume(plan.water.total_cold_l),
                   fmt::format("measured cold; {} in the kettle at {}",
                               volume(plan.water.total_cold_l / cooling_shrinkage(plan.strike)),
                               show_temperature(plan.strike.value, display))});
  facts.push_back(
      {"Strike", show_temperature(plan.strike.value, display),
       fmt::format("{} above the mash's {}; grain at {}",
                   show_temperature_change((plan.strike - recipe.mash.temperature).value, display),
                   show_temperature(recipe.mash.temperature.value, display),
                   show_temperature(recipe.mash.grain.value, display))});
  std::string fit = fmt::format("with {} of grain in", show_mass(plan.grain_kg, display));
  if (plan.fit) {
    fit += fmt::format("; kettle of {}: {}", volume(*recipe.kettle.volume_l),
                       kettle_words(recipe, *plan.fit, display));
  }
  facts.push_back({"Mash", volume(plan.water.mash_volume_l), fit});
  facts.push_back({"Before the boil", gravity(plan.wort.pre_boil),
                   fmt::format("{} hot, {} {}", volume(plan.water.pre_boil_hot_l),
                               volume(plan.wort.pre_boil.volume_l()), cold)});
  facts.push_back({"Original gravity", gravity(plan.wort.post_boil),
                   fmt::format("{} hot in the kettle, {} into the fermenter",
                               volume(plan.water.post_boil_hot_l), volume(recipe.batch_l))});
  const YeastNeed& yeast = plan.yeast;
  facts.push_back(
      {"Yeast", fmt::format("{:.0f} billion cells", yeast.billion_cells),
       yeast.dry_grams_low < yeast.dry_grams_high
           ? fmt::format("{:.0f} g of dry yeast, {:.0f} to {:.0f} g by how alive it is; pitch at {}",
                         yeast.dry_grams, yeast.dry_grams_low, yeast.dry_grams_high,
                         show_temperature(plan.pitch.value, display))
           : fmt::format("{:.0f} g of dry yeast; pitch at {}", yeast.dry_grams,
                         show_temperature(plan.pitch.value, display))});
  return facts;
}

std::vector<std::string> plan_assumptions(const Recipe& recipe, const BrewPlan& plan, const DaySheet& sheet,
                                          const DisplaySettings& display) {
  std::vector<std::string> all;
  all.push_back(fmt::format(
      "The level falls by {} in an hour of boiling; {} stay behind as trub; grain keeps {} and displaces {}; "
      "the wort shrinks by {:.0f} % as it cools. Measure yours, and put it into the recipe.",
      show_volume(recipe.evaporation_l_per_h, display), show_volume(recipe.trub_l, display),
      per_kg(recipe.absorption_l_per_kg, display), per_kg(recipe.displacement_l_per_kg, display),
      100 * (1 - cooling_shrinkage())));
  std::string heat = recipe.mash.moisture
                         ? fmt::format("malt of {:.1f} % moisture", 100 * *recipe.mash.moisture)
                         : std::string("malt with 0.40 of water's specific heat");
  if (recipe.kettle.mass_kg > 0) {
    heat += fmt::format(", a kettle of {} {}", show_mass(recipe.kettle.mass_kg, display),
                        recipe.kettle.temperature
                            ? "that is at " + show_temperature(recipe.kettle.temperature->value, display)
                            : std::string("heated with the water"));
  }
  all.push_back(fmt::format("Strike by balance of heat: {}; nothing lost to the air.", heat));
  all.push_back(fmt::format(
      "{} of the grain's extract comes into the kettle, all of the sugar's; the yeast gets {} million "
      "cells per mL and °P.",
      show_percent(recipe.mash_efficiency), plan.pitch_rate));
  all.push_back(fmt::format("Heating with {:.1f} kW{}, of which {} arrive; water drawn at {}.",
                            recipe.kettle.heater_watts.value_or(kAssumedWatts) / 1000,
                            sheet.heater_assumed ? " (the recipe names no heater)" : "",
                            show_percent(kHeatShare), show_temperature(recipe.mash.water.value, display)));
  return all;
}

}  // namespace gyle
