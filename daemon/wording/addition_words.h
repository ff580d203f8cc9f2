#pragma once

#include <string>

#include "fermentation/batch.h"
#include "wording/display.h"

namespace gyle {

// "250 g of sugar", "2.00 kg of fruit (10 % sugar)", "3.0 L of water", "60 g of dry hops".
std::string addition_words(const Addition& addition, const DisplaySettings& display);

}  // namespace gyle
