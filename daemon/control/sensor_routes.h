#pragma once

#include "control/cellar.h"
#include "control/http_message.h"
#include "control/request_target.h"
#include "wording/display.h"

namespace gyle {

// Answers GET /v1/sensors and GET /v1/refusals?limit=N; see control/routes.h. Both have `lines` for people
// (wording/sensor_lines.h, wording/refusal_lines.h).
HttpResponse respond_about_sensors(const Cellar& cellar, const DisplaySettings& display);
HttpResponse respond_about_refusals(const RequestTarget& target, const Cellar& cellar,
                                    const DisplaySettings& display);

}  // namespace gyle
