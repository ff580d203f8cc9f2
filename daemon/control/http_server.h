#pragma once

#include <cstdint>
#include <filesystem>
#include <limits>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "control/http_message.h"

namespace boost::asio {
class io_context;
}

namespace gyle {

class EventHub;

struct HttpLimits {
  std::size_t connections = 64;
  std::size_t connections_per_address = 64;
  std::size_t body_bytes = 1024 * 1024;  // a longer body: 413
  std::size_t header_bytes = 16 * 1024;  // longer headers: 431
  Duration head = seconds(10);           // for the headers of a request to arrive, from its first byte
  Duration idle = seconds(30);           // for a body to arrive, for a response to be taken, between requests
  Duration linger = seconds(2);          // for a refused client to read the answer
  std::size_t answer_bytes = std::numeric_limits<std::size_t>::max();  // of a body as sent (answer_form.h)
  std::size_t stream_bytes = 64 * 1024;  // an event stream whose client lags behind by more is closed
  Duration ping = seconds(15);           // between signs of life in an event stream
};

// An address of the network to listen at.
struct TcpEndpoint {
  std::string address;  // "127.0.0.1", "::1"; "0.0.0.0" and "::" are every address of the machine
  std::uint16_t port = 0;
  std::string certificate = {};  // PEM, the chain above it included; empty: no TLS
  std::string key = {};          // PEM, without a passphrase
  std::vector<std::pair<std::string, std::string>> headers = {};  // of every answer, refusals included
};

// HTTP/1.1 on a Unix domain socket, open to whoever may open the socket file, or on TCP, with or without TLS.
// A request that request_reader.h refuses gets the status it names, and the connection is closed. A handler
// that throws gives a 500. HEAD is a GET whose body is not sent. An exception in the work for one connection
// closes that connection, and is logged once.
//   crowds   a connection above a limit (per address, or in all) takes the place of one that has no whole
//            request yet, first of those that never had one; when there is none it is answered with 503, or
//            through TLS not at all
//   later    a handler that has no answer yet is called again for the same request (http_message.h); meanwhile
//            other connections are served
//   streams  an answer with `event_stream` is followed by what `hub` publishes, and by pings
//   threads  everything, the handler too, runs on the thread that runs `io`. Only the handler takes long: a
//            slow client blocks nobody, and is disconnected when `idle` is over
class HttpServer {
 public:
  // Binds and listens; the file never has more permissions than `mode`. A socket file that nobody listens on
  // is replaced. `hub` must outlive the server.
  //   errors  Errc::conflict when another process listens there, or the path is not a socket;
  //           Errc::unavailable when the system refuses
  static Result<std::unique_ptr<HttpServer>> listen(boost::asio::io_context& io,
                                                    const std::filesystem::path& socket, unsigned mode,
                                                    HttpHandler handler, HttpLimits limits = {},
                                                    EventHub* hub = nullptr);
  //   errors  Errc::conflict when another process listens there; Errc::unavailable when the machine does not
  //           have that address; Errc::malformed when it is not an address, or the certificate and the key
  //           cannot be used
  static Result<std::unique_ptr<HttpServer>> listen(boost::asio::io_context& io, const TcpEndpoint& endpoint,
                                                    HttpHandler handler, HttpLimits limits = {},
                                                    EventHub* hub = nullptr);
  // Closes every connection and removes the socket. `io` must still exist.
  ~HttpServer();

  class Listener;  // private to http_server.cpp

 private:
  explicit HttpServer(std::shared_ptr<Listener> listener);
  std::shared_ptr<Listener> listener_;
};

}  // namespace gyle
