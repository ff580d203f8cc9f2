#pragma once

#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace gyle {

struct HttpRequest {
  std::string method;  // "GET"
  std::string target;  // as sent: path and query, percent-encoded
  std::string content_type;
  std::string body;
};

struct HttpResponse {
  int status = 200;
  std::string content_type = "application/json";
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers = {};
};

using HttpHandler = std::function<HttpResponse(const HttpRequest&)>;

}  // namespace gyle
