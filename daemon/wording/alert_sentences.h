#pragma once

#include <string>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "wording/display.h"

namespace gyle {

// What the brewer is told about a decision: what happened, since when, how sure, what to do. Plain text, the
// first sentence at most 160 characters, every number with its unit as `display` wants it.
std::string alert_sentence(const Decision& decision, const BatchSpec& batch, const DisplaySettings& display);

}  // namespace gyle
