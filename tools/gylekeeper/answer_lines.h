#pragma once

#include <functional>
#include <string>

#include "control_client.h"
#include "verb.h"

namespace gyle {

// Asks the daemon and shows the `lines` of its answer, or with --json all of it.
Exit show_answer(const CommonOptions& common,
                 const std::function<Result<std::string>(const ControlClient&)>& ask);

}  // namespace gyle
