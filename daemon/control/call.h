#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "control/cellar.h"
#include "control/http_message.h"
#include "control/request_target.h"
#include "wording/display.h"

namespace gyle {

// One request with all that its handler may use.
struct Call {
  const HttpRequest& request;
  const RequestTarget& target;
  Cellar& cellar;
  const DisplaySettings& display;

  const std::string& segment(std::size_t place) const { return target.segments[place]; }
  std::optional<std::string> query(std::string_view name) const;
  // A moment, as RFC 3339; a whole number within bounds. Errc::malformed when it is something else.
  Result<std::optional<Time>> time(std::string_view name) const;
  Result<std::optional<int>> number(std::string_view name, int least, int most) const;
};

// What is at an address, for one method. A segment in braces stands for any text.
struct Route {
  const char* method;
  const char* path;  // "/v1/batches/{batch}/curve"
  HttpResponse (*answer)(const Call&);
};

}  // namespace gyle
