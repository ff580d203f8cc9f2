#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "fermentation/set_point.h"
#include "wording/display.h"

namespace gyle {

// What is known of the thermostat of a batch's vessel.
struct SetPointStatus {
  SetPoint next;
  SetPointRule rule;                // unused when `next` is off
  std::optional<Ask> asked;         // last, for this batch
  std::optional<Time> asked_since;  // with `asked`
  std::string trouble;              // why the broker did not accept it; empty: it did
};

// The set point of the vessel's thermostat, what waits for the brewer, and what must be done by hand.
std::vector<std::string> set_point_lines(const std::string& vessel, const BatchSpec& batch,
                                         const SetPointStatus& status, const DisplaySettings& display,
                                         Time now);

// The caution to show below these lines.
std::string set_point_caution();

// What to add to the sentence of an alert where a thermostat is asked by this rule, after a space; "" when
// there is nothing to add.
std::string set_point_sentence(const Decision& decision, const BatchSpec& batch, const std::string& vessel,
                               const SetPointRule& rule, const DisplaySettings& display);

}  // namespace gyle
