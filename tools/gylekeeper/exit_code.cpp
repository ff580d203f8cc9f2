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
  switch (error.code) {
    case Errc::unavailable:
      return complain(error, Exit::unreachable);
    case Errc::malformed:
    case Errc::missing:
    case Errc::out_of_range:
      return complain(error, Exit::wrong_use);
    default:
      return complain(error, Exit::failed);
  }
}

}  // namespace gyle
