#pragma once

#include <string>

#include "control/cellar.h"
#include "wording/display.h"

namespace gyle {

constexpr const char* kCalendarType = "text/calendar; charset=utf-8";

// What is due and what is to be expected of the batches in their vessels, as a calendar to subscribe to: of
// each the hold that is over and waits for the brewer, the next hold's end, the final gravity, and the day
// from which it can be packaged. What is due is confirmed, a forecast tentative; its interval stands in its
// description.
//   stable   the same thing keeps its UID however its forecast moves; DTSTAMP, LAST-MODIFIED and SEQUENCE
//            (minutes from the pitch) say when the forecast was made, so that the newer one goes before.
//            Nothing depends on when it is asked for
//   source   RFC 5545; RFC 7986 for NAME, REFRESH-INTERVAL and what a UID may tell (nothing of a host)
std::string calendar_text(const Cellar& cellar, const DisplaySettings& display);

}  // namespace gyle
