#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/what_if.h"
#include "wording/display.h"

namespace gyle {

// An 80 % interval as "between Thu 12 Mar and Sat 14 Mar", with the
// hours when it is shorter than a day and a half, or "about Thu 12 Mar 18:30"; "" when it is not a time that
// can be shown.
std::string show_span(const TimeInterval& when, const DisplaySettings& display);

// "in 7 of 10 cases".
std::string show_chance(double chance);

// The forecast of a batch, a line each: its final gravity, when it is reached, when it can be packaged, when
// the next hold is over. `supposed` is the answer for the question's hold, if it has one; the difference and
// a warning when that leaves the range of the yeast come last. When the view is outdated by `now`: only that.
std::vector<std::string> outlook_lines(const BatchSpec& batch, const BatchView& view, const WhatIf& question,
                                       const Outlook& planned, const std::optional<Outlook>& supposed,
                                       const DisplaySettings& display, Time now);

// "Its gravity has not been known since ..."; "" while the view is current.
std::string old_sentence(const BatchView& view, const DisplaySettings& display, Time now);

}  // namespace gyle
