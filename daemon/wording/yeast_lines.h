#pragma once

#include <span>
#include <string>
#include <vector>

#include "fermentation/yeast_record.h"
#include "wording/display.h"

namespace gyle {

// A line for each yeast: how many batches, and what is usual of it.
std::vector<std::string> yeast_list_lines(std::span<const YeastHistory> yeasts,
                                          const DisplaySettings& display);

// All there is to say of one: its batches, what is usual, and what to expect of the next.
std::vector<std::string> yeast_lines(const YeastHistory& yeast, const DisplaySettings& display);

// Whence the band of attenuation is that a batch's judgement expects; empty when the brewer gave it.
std::string band_sentence(const Yeast& yeast);

}  // namespace gyle
