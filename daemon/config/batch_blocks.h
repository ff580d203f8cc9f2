#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "config/toml_reader.h"
#include "fermentation/batch.h"

namespace gyle {

// What BATCH.toml and RECIPE.toml say alike.

// 1.048, "1.048" or "12 P"; absent when it is, or when it is none, which is then a problem.
std::optional<SpecificGravity> read_gravity(TomlTable& table, std::string_view key);

// Name, attenuation and temperature of [yeast]; the caller finishes the table.
void read_yeast(TomlTable& table, Yeast& yeast);

// The [[plan]] blocks, each of which is there only when it is right.
void read_plan(TomlTable& root, std::vector<Hold>& plan, TomlProblems& problems);

// The line on which a key such as "plan[2].until" stands; that of what encloses it when it is absent.
int line_of(const TomlValue& document, std::string_view key);

}  // namespace gyle
