#include "control/http_server.h"

#include <fmt/format.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <cstring>
#include <optional>
#include <set>

#include "control/json_answer.h"

namespace gyle {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using Local = asio::local::stream_protocol;
using Stream = beast::basic_stream<Local>;

std::string system_message(int error) { return std::strerror(error); }

// Which file a path names, so that only our own socket is removed at the end.
struct FileIdentity {
  dev_t device = 0;
  ino_t inode = 0;
  bool operator==(const FileIdentity&) const = default;
};
std::optional<FileIdentity> identity_of(const std::filesystem::path& path) {
  struct stat file {};
  if (::lstat(path.c_str(), &file) != 0) return std::nullopt;
  return FileIdentity{file.st_dev, file.st_ino};
}

// A file descriptor that is closed unless it is released.
class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(Descriptor&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }
  int release() { return std::exchange(fd_, -1); }

 private:
  int fd_;
};

Result<sockaddr_un> socket_address(const std::filesystem::path& path) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  const std::string& text = path.native();
  if (text.empty() || text.size() >= sizeof(address.sun_path)) {
    return fail(Errc::unavailable, fmt::format("the socket path '{}' must have 1 to {} characters", text,
                                               sizeof(address.sun_path) - 1));
  }
  std::memcpy(address.sun_path, text.data(), text.size());
  return address;
}

const sockaddr* generic(const sockaddr_un& address) {
  return reinterpret_cast<const sockaddr*>(&address);  // as the sockets interface wants it
}

// Makes way for a new socket at `path`.
Status remove_stale_socket(const std::filesystem::path& path, const sockaddr_un& address) {
  struct stat file {};
  if (::lstat(path.c_str(), &file) != 0) return success();
  if (!S_ISSOCK(file.st_mode)) {
    return fail(Errc::conflict, fmt::format("{} exists and is no socket", path.native()));
  }
  const Descriptor probe(::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  const int connected = ::connect(probe.get(), generic(address), sizeof(address));
  // A full backlog (EAGAIN) is a live listener, too.
  if (connected == 0 || errno != ECONNREFUSED) {
    return fail(Errc::conflict, fmt::format("another process listens on {}", path.native()));
  }
  if (::unlink(path.c_str()) != 0 && errno != ENOENT) {
    return fail(Errc::unavailable,
                fmt::format("cannot remove the old socket {}: {}", path.native(), system_message(errno)));
  }
  return success();
}

Result<Descriptor> bind_and_listen(const std::filesystem::path& path, unsigned mode) {
  BOOST_OUTCOME_TRY(address, socket_address(path));
  BOOST_OUTCOME_TRYV(remove_stale_socket(path, address));
  const auto failed = [&](const char* what) {
    return fail(Errc::unavailable,
                fmt::format("cannot {} {}: {}", what, path.native(), system_message(errno)));
  };
  Descriptor listening(::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  if (listening.get() < 0) return failed("make the socket");
  // Linux gives the file the mode of the socket, less the umask: set before it is bound, it is never wider.
  if (::fchmod(listening.get(), mode) != 0) return failed("set the mode of");
  if (::bind(listening.get(), generic(address), sizeof(address)) != 0) return failed("bind");
  if (::chmod(path.c_str(), mode) != 0) return failed("set the mode of");
  if (::listen(listening.get(), SOMAXCONN) != 0) return failed("listen on");
  return listening;
}

}  // namespace

class Connection;

// Accepts, and knows its connections.
class HttpServer::Listener : public std::enable_shared_from_this<HttpServer::Listener> {
 public:
  Listener(asio::io_context& io, int listening, std::filesystem::path path, HttpHandler handler,
           HttpLimits limits)
      : acceptor_(io, Local(), listening),
        retry_(io),
        path_(std::move(path)),
        identity_(identity_of(path_)),
        handler_(std::move(handler)),
        limits_(limits) {}

  void accept();
  void close();
  HttpResponse handle(const HttpRequest& request) const;
  const HttpLimits& limits() const { return limits_; }
  void forget(Connection* connection) { connections_.erase(connection); }

 private:
  asio::basic_socket_acceptor<Local> acceptor_;
  asio::steady_timer retry_;
  std::filesystem::path path_;
  std::optional<FileIdentity> identity_;
  HttpHandler handler_;
  HttpLimits limits_;
  std::set<Connection*> connections_;
};

// One client: requests and responses in turn until either side has enough.
class Connection : public std::enable_shared_from_this<Connection> {
 public:
  Connection(Local::socket socket, std::shared_ptr<HttpServer::Listener> listener)
      : stream_(std::move(socket)), listener_(std::move(listener)) {}
  ~Connection() { listener_->forget(this); }
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;

  void read() {
    parser_.emplace();
    parser_->header_limit(static_cast<std::uint32_t>(listener_->limits().header_bytes));
    parser_->body_limit(listener_->limits().body_bytes);
    stream_.expires_after(listener_->limits().idle);
    http::async_read(
        stream_, buffer_, *parser_,
        [self = shared_from_this()](beast::error_code error, std::size_t) { self->answer(error); });
  }

  void write(HttpResponse response, unsigned version, bool keep_alive) {
    response_ = {};
    response_.version(version);
    response_.result(static_cast<unsigned>(response.status));
    response_.set(http::field::content_type, response.content_type);
    response_.set(http::field::cache_control, "no-store");
    for (const auto& [key, value] : response.headers) response_.set(key, value);
    response_.keep_alive(keep_alive);
    response_.body() = std::move(response.body);
    response_.prepare_payload();
    stream_.expires_after(listener_->limits().idle);
    http::async_write(stream_, response_, [self = shared_from_this()](beast::error_code error, std::size_t) {
      if (!error && self->response_.keep_alive()) return self->read();
      self->close();
    });
  }

  void close() {
    beast::error_code ignored;
    stream_.socket().shutdown(Local::socket::shutdown_both, ignored);
    stream_.close();
  }

 private:
  void answer(beast::error_code error) {
    if (!error) {
      const auto& message = parser_->get();
      HttpRequest request{.method = std::string(message.method_string()),
                          .target = std::string(message.target()),
                          .content_type = std::string(message[http::field::content_type]),
                          .body = message.body()};
      return write(listener_->handle(request), message.version(), message.keep_alive());
    }
    if (error == http::error::body_limit) {
      return refuse(413, fmt::format("a body may have at most {} bytes", listener_->limits().body_bytes));
    }
    if (error == http::error::header_limit) {
      return refuse(431, fmt::format("headers may have at most {} bytes", listener_->limits().header_bytes));
    }
    // The client has left, or was too slow: nobody waits for an answer.
    const bool left = error == http::error::end_of_stream || error == http::error::partial_message;
    const bool not_http = error.category() == http::make_error_code(http::error::bad_method).category();
    if (left || !not_http) return close();
    refuse(400, "this is not an HTTP request: " + error.message());
  }

  void refuse(int status, const std::string& detail) { write(problem(status, detail), 11, false); }

  Stream stream_;
  std::shared_ptr<HttpServer::Listener> listener_;
  beast::flat_buffer buffer_;
  std::optional<http::request_parser<http::string_body>> parser_;
  http::response<http::string_body> response_;
};

void HttpServer::Listener::accept() {
  acceptor_.async_accept([self = shared_from_this()](beast::error_code error, Local::socket socket) {
    if (!self->acceptor_.is_open()) return;
    if (error) {
      // Out of file descriptors, most likely: some will come free.
      self->retry_.expires_after(std::chrono::milliseconds(100));
      self->retry_.async_wait([self](beast::error_code cancelled) {
        if (!cancelled) self->accept();
      });
      return;
    }
    const bool full = self->connections_.size() >= self->limits_.connections;
    const auto connection = std::make_shared<Connection>(std::move(socket), self);
    self->connections_.insert(connection.get());
    if (full) {
      connection->write(problem(503, "too many connections are open; try again in a moment"), 11, false);
    } else {
      connection->read();
    }
    self->accept();
  });
}

void HttpServer::Listener::close() {
  beast::error_code ignored;
  acceptor_.close(ignored);
  retry_.cancel();
  for (Connection* connection : connections_) connection->close();
  if (identity_ && identity_of(path_) == identity_) ::unlink(path_.c_str());
}

HttpResponse HttpServer::Listener::handle(const HttpRequest& request) const {
  try {
    return handler_(request);
  } catch (const std::exception& bug) {
    return problem(500, std::string("the daemon failed to answer: ") + bug.what());
  }
}

Result<std::unique_ptr<HttpServer>> HttpServer::listen(asio::io_context& io,
                                                       const std::filesystem::path& socket, unsigned mode,
                                                       HttpHandler handler, HttpLimits limits) {
  BOOST_OUTCOME_TRY(listening, bind_and_listen(socket, mode));
  try {
    auto listener = std::make_shared<Listener>(io, listening.get(), socket, std::move(handler), limits);
    listening.release();
    listener->accept();
    return std::unique_ptr<HttpServer>(new HttpServer(std::move(listener)));
  } catch (const std::exception& error) {
    return fail(Errc::unavailable, fmt::format("cannot listen on {}: {}", socket.native(), error.what()));
  }
}

HttpServer::HttpServer(std::shared_ptr<Listener> listener) : listener_(std::move(listener)) {}
HttpServer::~HttpServer() { listener_->close(); }

}  // namespace gyle
