#pragma once

#include <span>
#include <string>
#include <vector>

#include "fermentation/yeast_record.h"
#include "wording/display.h"

namespace gyle {

// A line for each yeast: how many batches, and its usual values.
std::vector<std::string> yeast_list_lines(std::span<const YeastHistory> yeasts,
                                          const DisplaySettings& display);

// One yeast in full: its batches, its usual values, and what to expect of the next batch.
std::vector<std::string> yeast_lines(const YeastHistory& yeast, const DisplaySettings& display);

// The source of the attenuation band that a batch is judged by; empty when the brewer gave it.
std::string band_sentence(const Yeast& yeast);
// When half of the fall is expected, by earlier batches; empty without any.
std::string half_sentence(const Yeast& yeast, const DisplaySettings& display);

}  // namespace gyle
