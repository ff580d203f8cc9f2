#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "brewday/correction.h"
#include "brewday/efficiency.h"
#include "recipe_option.h"
#include "units/density.h"
#include "verbs.h"
#include "wording/format.h"

namespace gyle {
namespace {

struct PreboilOptions {
  std::filesystem::path recipe;
  std::string volume;
  std::string gravity;
  std::optional<std::string> temperature;
  std::optional<std::string> gravity_temperature;
};

BoilAhead boil_ahead(const Recipe& recipe, const Wort& wort) {
  return {.wort = wort,
          .boil = recipe.boil.time,
          .evaporation_kg_per_h = recipe.evaporation_l_per_h * water_density(Celsius{100}) / 1000,
          .sugar_kg = sugar_mass_kg(recipe),
          .sugar_extract_kg = potential_of(recipe).sugar_kg};
}

void print_lines(const PlannedRecipe& p, const Wort& measured, const Corrections& c, double efficiency) {
  const auto volume = [&](double litres) { return show_volume(litres, p.display); };
  const auto gravity = [&](const Wort& wort) { return show_gravity(wort.gravity().value(), p.display); };
  const double boil_min = in_hours(p.recipe.boil.time) * 60;
  fmt::print("Before the boil: {} at {}; planned {} at {}. Volumes at 20 °C.\n", volume(measured.volume_l()),
             gravity(measured), volume(p.plan.wort.pre_boil.volume_l()), gravity(p.plan.wort.pre_boil));
  fmt::print("The mash gave {} of the grain's extract; planned {}.\n", show_percent(efficiency),
             show_percent(p.recipe.mash_efficiency));
  if (efficiency > 0.95)
    fmt::print("That is more than a mash in a bag gives: measure again before anything else.\n");
  fmt::print("After {:.0f} min of boiling: {} at {}; planned {} at {}.\n", boil_min,
             volume(c.accepted.volume_l()), gravity(c.accepted), volume(p.plan.wort.post_boil.volume_l()),
             gravity(p.plan.wort.post_boil));
  if (c.longer) {
    const double more_min = in_hours(c.longer->more) * 60;
    fmt::print("Either boil {:.0f} min longer, {:.0f} min in all: that leaves {} at {}.\n", more_min,
               boil_min + more_min, volume(c.longer->wort.volume_l()), gravity(c.longer->wort));
  } else if (c.dilution) {
    fmt::print("Either add {} of water: that makes {} at {}.\n", volume(c.dilution->water_l),
               volume(c.dilution->wort.volume_l()), gravity(c.dilution->wort));
    if (p.recipe.kettle.volume_l && c.dilution->wort.volume_l() > *p.recipe.kettle.volume_l) {
      fmt::print("More than the kettle holds: add it in the fermenter, boiled and cooled.\n");
    }
  } else {
    fmt::print("{}\n", c.weak ? "Nothing boils away by which it could become stronger."
                              : "That is as planned, within half a point: boil on.");
    return;
  }
  fmt::print("Or accept it, with an original gravity of {}.\n", gravity(c.accepted));
  fmt::print("Assumes that {} boil away in an hour", volume(p.recipe.evaporation_l_per_h));
  if (const double sugar = sugar_mass_kg(p.recipe); sugar > 0)
    fmt::print(", and {} of sugar still to come", show_mass(sugar, p.display));
  fmt::print("; {} of trub stay in the kettle.\n", volume(p.recipe.trub_l));
}

nlohmann::json to_json(const PlannedRecipe& p, const Wort& measured, const Corrections& c,
                       double efficiency) {
  nlohmann::json json{
      {"preboil_litres", measured.volume_l()},
      {"preboil_gravity_sg", measured.gravity().value()},
      {"preboil_extract_kilograms", measured.extract_kg},
      {"mash_efficiency_fraction", efficiency},
      {"planned_original_gravity_sg", p.plan.wort.post_boil.gravity().value()},
      {"accept",
       {{"original_gravity_sg", c.accepted.gravity().value()}, {"postboil_litres", c.accepted.volume_l()}}}};
  if (c.longer) {
    json["boil_longer"] = {{"more_minutes", in_hours(c.longer->more) * 60},
                           {"original_gravity_sg", c.longer->wort.gravity().value()},
                           {"postboil_litres", c.longer->wort.volume_l()}};
  }
  if (c.dilution) {
    json["dilute"] = {{"water_litres", c.dilution->water_l},
                      {"original_gravity_sg", c.dilution->wort.gravity().value()},
                      {"postboil_litres", c.dilution->wort.volume_l()}};
  }
  return json;
}

Exit run_preboil(const PreboilOptions& o, const CommonOptions& common) {
  const auto planned = planned_recipe(o.recipe, common);
  if (!planned) return complain(planned.error(), Exit::wrong_use);
  const PlannedRecipe& p = planned.value();
  const auto wort = measured_wort(o.volume, o.gravity, o.temperature, o.gravity_temperature);
  if (!wort) return complain(wort.error(), Exit::wrong_use);
  const auto efficiency = mash_efficiency(wort.value(), potential_of(p.recipe));
  if (!efficiency) return complain(efficiency.error(), Exit::wrong_use);
  const auto corrections = correct_boil(boil_ahead(p.recipe, wort.value()), p.plan.wort.post_boil.gravity());
  if (!corrections) return complain(corrections.error(), Exit::wrong_use);
  if (common.json) {
    fmt::print("{}\n", to_json(p, wort.value(), corrections.value(), efficiency.value()).dump());
  } else {
    print_lines(p, wort.value(), corrections.value(), efficiency.value());
  }
  return Exit::ok;
}

}  // namespace

Verb preboil_verb() {
  const auto o = std::make_shared<PreboilOptions>();
  return {
      .name = "preboil",
      .about = "what can be done when the wort before the boil is not as planned",
      .arguments =
          {{.name = "recipe",
            .place = &o->recipe,
            .about = "RECIPE.toml",
            .required = true,
            .offer = Offer::files},
           {.name = "--volume",
            .place = &o->volume,
            .about = "of the wort once the bag is out, as \"19 L\"",
            .required = true},
           {.name = "--gravity", .place = &o->gravity, .about = "as 1.033 or \"8.3 P\"", .required = true},
           {.name = "--temperature",
            .place = &o->temperature,
            .about = "of the wort when its volume was read, as \"70 C\"; 20 °C when not given"},
           {.name = "--gravity-temperature",
            .place = &o->gravity_temperature,
            .about = "of the sample when its gravity was read, up to 60 °C; 20 °C when not given"}},
      .notes =
          "Measure before any sugar of the recipe is added. Extract is conserved; water boils away or is "
          "added. A hot sample reads low: cool it below 40 °C.",
      .examples = {"gylekeeper preboil amber-12-recipe.toml --volume \"19 L\" --gravity 1.031 "
                   "--temperature \"70 C\""},
      .run = [o](const CommonOptions& common) { return run_preboil(*o, common); }};
}

}  // namespace gyle
