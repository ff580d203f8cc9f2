#pragma once

#include <functional>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace gyle {

struct HttpRequest {
  std::string method;  // "GET"
  std::string target;  // as sent: path and query, percent-encoded
  std::string content_type;
  std::string body;
  // Names in lower case. One that was sent several times has its values joined by ", ", a cookie by "; ".
  std::map<std::string, std::string, std::less<>> headers = {};
  std::string peer = "unix";  // or the address of the peer, without its port
  bool secure = false;        // came through TLS
  bool signed_in = true;      // has shown that it may act; on the Unix socket everybody has
  bool read_only = false;     // nobody may act this way, for no secret is configured
};

struct HttpResponse {
  int status = 200;
  std::string content_type = "application/json";
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers = {};
  // The connection stays open, and what the server's EventHub publishes follows the body.
  bool event_stream = false;
  // Set: there is no answer yet. It is called once with what begins the request again, and calls that once, on
  // the thread of the handler, or drops it.
  std::function<void(std::function<void()>)> later = {};
};

using HttpHandler = std::function<HttpResponse(const HttpRequest&)>;

}  // namespace gyle
