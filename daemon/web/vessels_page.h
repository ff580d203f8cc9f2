#pragma once

#include <string>

#include "control/cellar.h"
#include "control/http_message.h"
#include "wording/display.h"

namespace gyle {

// The vessels as one plain HTML table, for a browser without scripts: what is in each, its stage, gravity, temperature and what
// comes next, as of the daemon's time. It contains its style and loads nothing.
std::string vessels_page(const Cellar& cellar, const DisplaySettings& display);

// The same as an answer, with a policy that lets it load and run nothing.
HttpResponse vessels_answer(const Cellar& cellar, const DisplaySettings& display);

}  // namespace gyle
