#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "config/toml_reader.h"
#include "fermentation/batch.h"

namespace gyle {

// What BATCH.toml and RECIPE.toml have in common.

// 1.048, "1.048" or "12 P"; absent when the key is, or when it is invalid, which adds a problem.
std::optional<SpecificGravity> read_gravity(TomlTable& table, std::string_view key);

// Name, attenuation and temperature of [yeast]; the caller finishes the table.
void read_yeast(TomlTable& table, Yeast& yeast);

// The [[plan]] blocks, the valid ones only.
void read_plan(TomlTable& root, std::vector<Hold>& plan, TomlProblems& problems);

// The line of a key such as "plan[2].until"; when it is absent, the line of its table.
int line_of(const TomlValue& document, std::string_view key);

// validate() (config/batch_validation.h); its error names the file and the line of the key in `document`.
Status validate_in_file(const BatchSpec& batch, const TomlValue& document, std::string_view file_name);

}  // namespace gyle
