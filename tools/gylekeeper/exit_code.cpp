#include "exit_code.h"

#include <fmt/format.h>

#include "base/text.h"

namespace gyle {

Exit complain(const Error& error, Exit code) {
  // The message may quote what others wrote; a terminal must not obey it.
  fmt::print(stderr, "gylekeeper: {}\n", displayable(error.message, error.message.size()));
  return code;
}

Exit complain(const Error& error) {
  return complain(error, error.code == Errc::unavailable ? Exit::unreachable : Exit::failed);
}

}  // namespace gyle
