#include "base/http_status.h"

#include <array>
#include <utility>

namespace gyle {

const char* http_reason(int status) {
  static constexpr std::array<std::pair<int, const char*>, 23> kReasons{{
      {301, "Moved Permanently"},
      {302, "Found"},
      {303, "See Other"},
      {307, "Temporary Redirect"},
      {308, "Permanent Redirect"},
      {400, "Bad Request"},
      {401, "Unauthorized"},
      {403, "Forbidden"},
      {404, "Not Found"},
      {405, "Method Not Allowed"},
      {408, "Request Timeout"},
      {409, "Conflict"},
      {410, "Gone"},
      {413, "Content Too Large"},
      {415, "Unsupported Media Type"},
      {421, "Misdirected Request"},
      {422, "Unprocessable Content"},
      {429, "Too Many Requests"},
      {431, "Request Header Fields Too Large"},
      {500, "Internal Server Error"},
      {502, "Bad Gateway"},
      {503, "Service Unavailable"},
      {504, "Gateway Timeout"},
  }};
  for (const auto& [code, reason] : kReasons) {
    if (code == status) return reason;
  }
  return "";
}

}  // namespace gyle
