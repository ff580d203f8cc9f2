#pragma once

#include "control/cellar.h"
#include "control/http_message.h"
#include "control/request_target.h"
#include "wording/display.h"

namespace gyle {

// Answers what begins with /v1/alerts or /v1/channels:
//
//   GET  /v1/alerts?limit=N                what the watcher said of itself, oldest first; N up to 1000,
//   without it 20 POST /v1/alerts/ID/acknowledge         no reminders of it any more POST
//   /v1/alerts/ID/snooze?until=T      none before T (RFC 3339) GET  /v1/alerts/ID/fate?channel=C      what
//   came of it there GET  /v1/channels                      each with what waits, what was refused, and why
//   POST /v1/channels/C/test               202 with the `alert` whose fate is to be asked for
//   POST /v1/channels/C/retry              what was refused goes out again
HttpResponse respond_about_alerts(const HttpRequest& request, const RequestTarget& target, Cellar& cellar,
                                  const DisplaySettings& display);

}  // namespace gyle
