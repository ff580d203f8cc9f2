#pragma once

#include <span>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

// An alert and the words in which it was sent.
struct ReportedDecision {
  Decision decision;
  std::string text;
};

// A heading with the sentences under it.
struct Paragraph {
  std::string heading;
  std::vector<std::string> sentences;
};

// Why a batch stands where it stands: the stage and its reasons; the alerts, when and on what evidence; what
// is waited for and what would change it; how far the sensors are trusted. Every number with its unit,
// as `display` wants it.
std::vector<Paragraph> explanation(const BatchSpec& batch, const BatchView& view,
                                   std::span<const ReportedDecision> alerts, const DisplaySettings& display,
                                   Time now);

}  // namespace gyle
