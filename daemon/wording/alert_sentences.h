#pragma once

#include <string>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "wording/display.h"

namespace gyle {

// The text of an alert: what happened, since when, how sure, what to do, what happens otherwise. Plain text,
// every number with its unit as in `display`. The first sentence
// (wording/first_sentence.h) is at most kFirstSentence columns: long names are cut for it.
std::string alert_sentence(const Decision& decision, const BatchSpec& batch, const DisplaySettings& display);

}  // namespace gyle
