#pragma once

#include "base/result.h"

namespace gyle {

// What the tool tells the shell.
enum class Exit {
  ok = 0,
  failed = 1,       // refused, or it did not work out
  wrong_use = 2,    // the command, a file or a number was wrong
  unreachable = 3,  // the daemon does not answer
};

// Says on standard error, in one line, what was wrong.
Exit complain(const Error& error, Exit code);
// The same with the code that fits: unreachable for Errc::unavailable, wrong_use for what was malformed,
// missing or out of range, else failed.
Exit complain(const Error& error);

}  // namespace gyle
