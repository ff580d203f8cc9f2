#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "brewday/brew_plan.h"
#include "brewday/recipe.h"
#include "verb.h"
#include "wording/display.h"

namespace gyle {

// A recipe with its plan, and how this brewer reads numbers and times.
struct PlannedRecipe {
  Recipe recipe;
  BrewPlan plan;
  DisplaySettings display;
};

// Reads RECIPE.toml and the settings. Any error means wrong use.
Result<PlannedRecipe> planned_recipe(const std::filesystem::path& path, const CommonOptions& common);

// Wort as it was measured, brought to 20 degC: the volume where it was read off hot, the gravity where the
// sample was not at 20 degC. All as units/quantity_text.h reads it.
Result<Wort> measured_wort(const std::string& volume, const std::string& gravity,
                           const std::optional<std::string>& volume_at,
                           const std::optional<std::string>& gravity_at);

}  // namespace gyle
