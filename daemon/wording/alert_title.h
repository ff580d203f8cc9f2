#pragma once

#include <string>
#include <string_view>

#include "fermentation/decision.h"

namespace gyle {

constexpr std::size_t kTitleColumns = 70;

// An alert in a few words, without the batch's name: "final gravity reached". `sensor` may be empty.
std::string alert_phrase(AlertKind kind, Decision::State state, std::string_view sensor);

// A few words about an alert for a subject line: "Amber no. 12: final gravity reached". At most
// kTitleColumns wide: long names are cut for it. `sensor` may be empty.
std::string alert_title(AlertKind kind, Decision::State state, std::string_view batch,
                        std::string_view sensor);

// "Reminder: " before a title, which is cut if need be.
std::string reminder_title(std::string_view title);

}  // namespace gyle
