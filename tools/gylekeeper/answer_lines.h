#pragma once

#include <functional>
#include <string>

#include "control_client.h"
#include "verb.h"

namespace gyle {

// Asks the daemon and shows the `lines` of its answer, or with --json all of it.
Exit show_answer(const CommonOptions& common,
                 const std::function<Result<std::string>(const ControlClient&)>& ask);

// Likewise for every page of a list, one answer for each.
Exit show_pages(const CommonOptions& common, const std::string& target);

}  // namespace gyle
