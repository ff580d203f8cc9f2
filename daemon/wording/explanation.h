#pragma once

#include <span>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

// An alert and its text as it was sent.
struct ReportedDecision {
  Decision decision;
  std::string text;
};

// A heading with the sentences under it.
struct Paragraph {
  std::string heading;
  std::vector<std::string> sentences;
};

// A finding of the judgement as a sentence.
const char* finding_sentence(Finding finding);
// The same, with the sensor that it is about.
std::string reason_sentence(const Reason& reason);

// The reasons for the state of a batch: the stage; the alerts, when and on what evidence; what comes next and
// what would change that; how far the sensors are trusted. Every number with its unit, as in `display`.
std::vector<Paragraph> explanation(const BatchSpec& batch, const BatchView& view,
                                   std::span<const ReportedDecision> alerts, const DisplaySettings& display,
                                   Time now);

}  // namespace gyle
