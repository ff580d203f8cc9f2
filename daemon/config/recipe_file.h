#pragma once

#include <filesystem>
#include <string_view>

#include "base/result.h"
#include "brewday/recipe.h"

namespace gyle {

// A beer as the brewer plans it (RECIPE.toml): name, volume and at least one [[grain]] are required, the rest
// has the defaults of brewday/recipe.h; config/recipe.toml shows every key. [yeast] and [[plan]] are those of
// BATCH.toml. Each value returned is valid; whether they can be planned together, brewday/brew_plan.h
// decides. One error, the first in the file: "RECIPE.toml:12: grain[2].mass: ..."; blocks are counted from 1.
Result<Recipe> load_recipe(const std::filesystem::path& path);
Result<Recipe> parse_recipe(std::string_view text, std::string_view file_name);

}  // namespace gyle
