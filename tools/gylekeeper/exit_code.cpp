#include "exit_code.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string_view>

#include "base/text.h"

namespace gyle {

namespace {

bool in_json = false;  // of the whole process: set once, before any verb runs

}  // namespace

void complain_in_json(bool on) { in_json = on; }

Exit complain(const Error& error, Exit code) {
  if (in_json) {
    using Json = nlohmann::ordered_json;
    const Json json{{"error", error.message}, {"exit", static_cast<int>(code)}};
    fmt::print(stderr, "{}\n", json.dump(-1, ' ', false, Json::error_handler_t::replace));
    return code;
  }
  const std::string_view message = error.message;
  for (std::size_t begin = 0; begin <= message.size();) {
    const std::size_t end = std::min(message.find('\n', begin), message.size());
    // The message may quote what others wrote; a terminal must not interpret it.
    fmt::print(stderr, "gylekeeper: {}\n", displayable(message.substr(begin, end - begin), end - begin));
    begin = end + 1;
  }
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
