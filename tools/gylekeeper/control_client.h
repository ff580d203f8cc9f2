#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace gyle {

// Asks the running daemon over its control socket (daemon/control/routes.h), one request at a time.
//   errors  Errc::unavailable when nobody answers; else the error that the daemon reports
class ControlClient {
 public:
  explicit ControlClient(std::filesystem::path socket) : socket_(std::move(socket)) {}

  // The body of the answer. `target` is percent-encoded already.
  Result<std::string> get(const std::string& target) const;
  // The pages of a list, in order, to `take`, whose failure ends it. Errc::malformed when it has no end.
  Status get_pages(const std::string& target, const std::function<Status(const std::string&)>& take) const;
  // A CSV that comes in pages (Link, rel="next", RFC 8288), as one with one header.
  Result<std::string> get_csv(const std::string& target) const;
  // The same a page at a time.
  Status get_csv(std::string target, const std::function<Status(std::string_view)>& take) const;
  Result<std::string> post(const std::string& target, const std::string& content_type,
                           const std::string& body) const;
  Result<std::string> remove(const std::string& target) const;  // DELETE

 private:
  std::filesystem::path socket_;
};

// "?name=value&..." of what is given, percent-encoded; "" when nothing is.
std::string query_text(const std::vector<std::pair<std::string, std::optional<std::string>>>& given);

}  // namespace gyle
