#include "brewday/efficiency.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "recipe_option.h"
#include "units/density.h"
#include "verbs.h"
#include "wording/format.h"

namespace gyle {
namespace {

struct EfficiencyOptions {
  std::filesystem::path recipe;
  std::string volume;
  std::string gravity;
  std::optional<std::string> preboil_volume;
  std::optional<std::string> preboil_gravity;
  std::optional<std::string> preboil_temperature;
};

struct Found {
  Wort fermenter;
  double brewhouse;
  double mash;  // from the fermenter and the trub
  struct PreBoil {
    double mash;
    double evaporation_l_per_h;  // as the level falls
  };
  std::optional<PreBoil> pre_boil;
};

Result<Found> found(const EfficiencyOptions& o, const Recipe& recipe) {
  const Potential potential = potential_of(recipe);
  Found f{};
  BOOST_OUTCOME_TRY(fermenter, measured_wort(o.volume, o.gravity, std::nullopt, std::nullopt));
  f.fermenter = fermenter;
  BOOST_OUTCOME_TRY(brewhouse, brewhouse_efficiency(fermenter, potential));
  f.brewhouse = brewhouse;
  BOOST_OUTCOME_TRY(mash, mash_efficiency_from_fermenter(fermenter, recipe.trub_l, potential));
  f.mash = mash;
  if (!o.preboil_volume) return f;
  BOOST_OUTCOME_TRY(
      wort, measured_wort(*o.preboil_volume, *o.preboil_gravity, o.preboil_temperature, std::nullopt));
  BOOST_OUTCOME_TRY(before, mash_efficiency(wort, potential));
  const double after_kg = fermenter.mass_kg * (1 + recipe.trub_l / fermenter.volume_l());
  const double gone_kg = wort.mass_kg + sugar_mass_kg(recipe) - after_kg;
  if (gone_kg < 0) {
    return fail(
        Errc::out_of_range,
        fmt::format("there was less before the boil, {:.1f} L, than after it, with {:.1f} L of trub; is "
                    "a volume mistyped, or was water added?",
                    wort.volume_l(), recipe.trub_l));
  }
  f.pre_boil = {before, gone_kg * 1000 / water_density(Celsius{100}) / in_hours(recipe.boil.time)};
  return f;
}

void print_lines(const PlannedRecipe& p, const Found& f) {
  const auto volume = [&](double litres) { return show_volume(litres, p.display); };
  fmt::print("In the fermenter: {} at {}, {} of extract; planned {} at {}.\n", volume(f.fermenter.volume_l()),
             show_gravity(f.fermenter.gravity().value(), p.display),
             show_mass(f.fermenter.extract_kg, p.display), volume(p.recipe.batch_l),
             show_gravity(p.plan.wort.post_boil.gravity().value(), p.display));
  fmt::print("Brewhouse efficiency: {} of all extract is in the fermenter.\n", show_percent(f.brewhouse));
  fmt::print(
      "Mash efficiency: {} of the grain's extract came into the kettle, with {} of trub; planned {}.\n",
      show_percent(f.mash), volume(p.recipe.trub_l), show_percent(p.recipe.mash_efficiency));
  if (f.pre_boil) {
    fmt::print("Mash efficiency as measured before the boil: {}.\n", show_percent(f.pre_boil->mash));
    fmt::print("Boiled away: {} in an hour, as the level falls; planned {}.\n",
               volume(f.pre_boil->evaporation_l_per_h), volume(p.recipe.evaporation_l_per_h));
  }
  fmt::print("For the next batch, write into the recipe: efficiency = {:.2f}\n",
             f.pre_boil ? f.pre_boil->mash : f.mash);
}

nlohmann::json to_json(const Found& f) {
  nlohmann::json json{{"fermenter_litres", f.fermenter.volume_l()},
                      {"original_gravity_sg", f.fermenter.gravity().value()},
                      {"extract_kilograms", f.fermenter.extract_kg},
                      {"brewhouse_efficiency_fraction", f.brewhouse},
                      {"mash_efficiency_fraction", f.mash}};
  if (f.pre_boil) {
    json["preboil_mash_efficiency_fraction"] = f.pre_boil->mash;
    json["evaporation_litres_per_hour"] = f.pre_boil->evaporation_l_per_h;
  }
  return json;
}

Exit run_efficiency(const EfficiencyOptions& o, const CommonOptions& common) {
  const auto planned = planned_recipe(o.recipe, common);
  if (!planned) return complain(planned.error(), Exit::wrong_use);
  const auto f = found(o, planned.value().recipe);
  if (!f) return complain(f.error(), Exit::wrong_use);
  if (common.json) {
    fmt::print("{}\n", to_json(f.value()).dump());
  } else {
    print_lines(planned.value(), f.value());
  }
  return Exit::ok;
}

}  // namespace

Verb efficiency_verb() {
  const auto o = std::make_shared<EfficiencyOptions>();
  return {.name = "efficiency",
          .about = "how much of the grain's extract there is, from what was measured",
          .arguments = {{.name = "recipe",
                         .place = &o->recipe,
                         .about = "RECIPE.toml as it was brewed",
                         .required = true,
                         .offer = Offer::files},
                        {.name = "--volume",
                         .place = &o->volume,
                         .about = "in the fermenter at 20 °C, as \"12 L\"",
                         .required = true},
                        {.name = "--gravity",
                         .place = &o->gravity,
                         .about = "the original gravity, as 1.048 or \"12 P\"",
                         .required = true},
                        {.name = "--preboil-volume",
                         .place = &o->preboil_volume,
                         .about = "once the bag was out",
                         .needs = {"--preboil-gravity"}},
                        {.name = "--preboil-gravity",
                         .place = &o->preboil_gravity,
                         .about = "the wort's then, before any sugar",
                         .needs = {"--preboil-volume"}},
                        {.name = "--preboil-temperature",
                         .place = &o->preboil_temperature,
                         .about = "of the wort when its volume was read; 20 °C when not given",
                         .needs = {"--preboil-volume"}}},
          .examples = {"gylekeeper efficiency amber-12-recipe.toml --volume \"11.5 L\" --gravity 1.043 "
                       "--preboil-volume \"19 L\" --preboil-gravity 1.033 --preboil-temperature \"70 C\""},
          .run = [o](const CommonOptions& common) { return run_efficiency(*o, common); }};
}

}  // namespace gyle
