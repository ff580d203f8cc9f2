#pragma once

#include "base/result.h"

namespace gyle {

// The exit codes of the tool.
enum class Exit {
  ok = 0,
  failed = 1,       // refused, or it failed
  wrong_use = 2,    // the command, a file or a number was wrong
  unreachable = 3,  // the daemon does not answer
};

// From now on complaints are JSON: {"error": "...", "exit": 2} in one line.
void complain_in_json(bool on = true);

// Writes to standard error what is wrong, a line for each problem.
Exit complain(const Error& error, Exit code);
// The same with the code that fits: unreachable for Errc::unavailable, wrong_use for what was malformed,
// missing or out of range, else failed.
Exit complain(const Error& error);

}  // namespace gyle
