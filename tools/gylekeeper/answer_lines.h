#pragma once

#include <functional>
#include <string>

#include "control_client.h"
#include "verb.h"

namespace gyle {

// What is asked of the daemon, or found out by asking it.
using DaemonQuery = std::function<Result<std::string>(const ControlClient&)>;

// Asks the daemon and shows the `lines` of its answer, or with --json all of it.
Exit show_answer(const CommonOptions& common, const DaemonQuery& ask);

// Likewise for every page of a list, one answer for each. `target` may have to ask the daemon for its time first.
Exit show_pages(const CommonOptions& common, const DaemonQuery& target);
Exit show_pages(const CommonOptions& common, const std::string& target);

}  // namespace gyle
