#pragma once

#include <string>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "wording/display.h"

namespace gyle {

// What the brewer is told about a decision: what happened, since when, how sure, what to do, what happens
// otherwise. Plain text, every number with its unit as `display` wants it. The first sentence
// (wording/first_sentence.h) is at most kFirstSentence columns: long names are cut for it.
std::string alert_sentence(const Decision& decision, const BatchSpec& batch, const DisplaySettings& display);

}  // namespace gyle
