#pragma once

#include <string>

#include "control/cellar.h"
#include "wording/display.h"

namespace gyle {

constexpr const char* kCalendarType = "text/calendar; charset=utf-8";

// A calendar to subscribe to, with what is due and what is forecast for the batches in their vessels: the hold
// that is over and waits for the brewer, the end of the next hold, the final gravity, and the first day to
// package; of the batches packaged last, when each fill should have its gas. What is due is confirmed; a forecast is tentative and has its interval in its description.
//   stable   an entry keeps its UID however its forecast moves; DTSTAMP, LAST-MODIFIED and SEQUENCE (minutes
//            from the pitch) say when the forecast was made, so that the newer one takes precedence. Nothing
//            depends on the time of the request
//   source   RFC 5545; RFC 7986 for NAME, REFRESH-INTERVAL and what a UID may contain (no host name)
std::string calendar_text(const Cellar& cellar, const DisplaySettings& display);

}  // namespace gyle
