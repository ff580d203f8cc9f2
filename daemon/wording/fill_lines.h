#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "packaging/fill.h"
#include "wording/display.h"

namespace gyle {

// A fill and the number by which it is taken back.
struct NumberedFill {
  std::int64_t id = 0;
  Fill fill;
};

// "22 bottles of 500 mL".
std::string fill_words(const Fill& fill, const DisplaySettings& display);

// When it has its gas and how to find out; also that it is too cold for that.
std::string carbonated_sentence(const Fill& fill, const DisplaySettings& display, Time now);

// What a batch was filled into, two lines each; then the sum, if there are several, and a word when that is
// more than the batch was.
//   batch_l  its volume, if known
std::vector<std::string> fill_lines(std::span<const NumberedFill> fills, std::optional<double> batch_l,
                                    const DisplaySettings& display, Time now);

}  // namespace gyle
