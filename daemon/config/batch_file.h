#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"
#include "fermentation/batch.h"

namespace gyle {

// A batch as the brewer writes it down (BATCH.toml): name, pitched, original_gravity, volume, [yeast],
// [final_gravity], the holds of the plan as [[plan]] blocks, and what was added to the fermenting beer as
// [[addition]] blocks: what ("sugar", "fruit", "water" or "dry-hops"), at, amount, and of fruit the share of
// its mass that is sugar, as sugar = 0.1. Only name and pitched are required; the rest
// has the defaults of fermentation/batch.h. The daemon adds attenuation_batches to [yeast] when the band is
// taken from so many earlier batches, and half_fall_low_hours and
// half_fall_high_hours, when half of the fall is over in thermal hours from the pitch, from the same. What comes back has passed validate(). One error, the first in the
// file: "BATCH.toml:7: plan[2].until: ..."; holds are counted from 1.
Result<BatchSpec> load_batch(const std::filesystem::path& path);
Result<BatchSpec> parse_batch(std::string_view text, std::string_view file_name);

// The text that parse_batch reads back as the same batch, to the last bit of every number.
std::string format_batch(const BatchSpec& batch);

}  // namespace gyle
