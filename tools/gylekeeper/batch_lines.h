#pragma once

#include <string>

#include "verb.h"

namespace gyle {

// A verb that shows all that the daemon reports of one batch at /v1/batches/B/`what` ("notes?limit=1000").
Verb batch_lines_verb(std::string name, std::string about, std::string what);

}  // namespace gyle
