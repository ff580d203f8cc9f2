#pragma once

#include <filesystem>
#include <memory>

#include "base/result.h"
#include "base/time.h"
#include "control/http_message.h"

namespace boost::asio {
class io_context;
}

namespace gyle {

struct HttpLimits {
  std::size_t connections = 64;          // more are answered with 503 and closed
  std::size_t body_bytes = 1024 * 1024;  // a longer body: 413
  std::size_t header_bytes = 16 * 1024;  // longer headers: 431
  Duration idle = seconds(30);           // for a whole request to arrive, and for a response to be taken
};

// HTTP/1.1 on a Unix domain socket; whoever may open the socket file may ask. What is not HTTP is answered
// with 400 and closed; a handler that throws, with 500.
//   threads  everything, the handler too, runs on the thread that runs `io`
class HttpServer {
 public:
  // Binds and listens; the file never has more permissions than `mode`. A socket that nobody listens on any
  // more is replaced.
  //   errors  Errc::conflict when another process listens there, or the path is something else than a socket;
  //           Errc::unavailable when the system does not let us
  static Result<std::unique_ptr<HttpServer>> listen(boost::asio::io_context& io,
                                                    const std::filesystem::path& socket, unsigned mode,
                                                    HttpHandler handler, HttpLimits limits = {});
  // Closes every connection and removes the socket. `io` must still exist.
  ~HttpServer();

  class Listener;  // private to http_server.cpp

 private:
  explicit HttpServer(std::shared_ptr<Listener> listener);
  std::shared_ptr<Listener> listener_;
};

}  // namespace gyle
