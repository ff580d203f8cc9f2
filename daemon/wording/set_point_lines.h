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
  SetPointRule rule;                // of no use when `next` is off
  std::optional<Ask> asked;         // last, for this batch
  std::optional<Time> asked_since;  // with `asked`
  std::string trouble;              // why the broker did not take it; empty: it did
};

// What the vessel's thermostat is asked for, what waits for the brewer, and what he has to do by hand.
std::vector<std::string> set_point_lines(const std::string& vessel, const BatchSpec& batch,
                                         const SetPointStatus& status, const DisplaySettings& display,
                                         Time now);

// The caution that belongs below them.
std::string set_point_caution();

// What to add to the sentence of an alert where a thermostat is asked by this rule, after a space; "" when
// there is nothing to add.
std::string set_point_sentence(const Decision& decision, const BatchSpec& batch, const std::string& vessel,
                               const SetPointRule& rule, const DisplaySettings& display);

}  // namespace gyle
