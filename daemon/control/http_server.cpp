#include "control/http_server.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/ssl/ssl_stream.hpp>
#include <cstring>
#include <deque>
#include <optional>
#include <set>

#include "control/answer_form.h"
#include "control/event_hub.h"
#include "control/json_answer.h"

namespace gyle {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using Sockets = asio::generic::stream_protocol;  // Unix domain and TCP alike
using Plain = beast::basic_stream<Sockets>;
using Encrypted = beast::ssl_stream<Plain>;

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

Result<Descriptor> bind_and_listen(const TcpEndpoint& door) {
  addrinfo wanted{};
  wanted.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE;
  wanted.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  if (::getaddrinfo(door.address.c_str(), std::to_string(door.port).c_str(), &wanted, &found) != 0) {
    return fail(
        Errc::malformed,
        fmt::format("\"{}\" is no address of the network; write for example 127.0.0.1", door.address));
  }
  const std::unique_ptr<addrinfo, void (*)(addrinfo*)> addresses(found, ::freeaddrinfo);
  const auto failed = [&] {
    const int error = errno;
    const std::string where = fmt::format("{} port {}", door.address, door.port);
    if (error == EADDRINUSE) return fail(Errc::conflict, "another process listens at " + where);
    return fail(Errc::unavailable, fmt::format("cannot listen at {}: {}", where, system_message(error)));
  };
  Descriptor listening(::socket(found->ai_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  if (listening.get() < 0) return failed();
  // What a daemon that has just ended leaves of its connections must not keep the next from its place.
  const int yes = 1;
  ::setsockopt(listening.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  if (::bind(listening.get(), found->ai_addr, found->ai_addrlen) != 0) return failed();
  if (::listen(listening.get(), SOMAXCONN) != 0) return failed();
  return listening;
}

// "192.168.1.7", "fe80::1"; an IPv4 address that came through an IPv6 socket as what it is.
std::string address_text(const sockaddr* address) {
  char text[INET6_ADDRSTRLEN] = "";
  if (address->sa_family == AF_INET) {
    ::inet_ntop(AF_INET, &reinterpret_cast<const sockaddr_in*>(address)->sin_addr, text, sizeof(text));
  } else if (address->sa_family == AF_INET6) {
    const in6_addr& six = reinterpret_cast<const sockaddr_in6*>(address)->sin6_addr;
    if (IN6_IS_ADDR_V4MAPPED(&six)) {
      ::inet_ntop(AF_INET, six.s6_addr + 12, text, sizeof(text));
    } else {
      ::inet_ntop(AF_INET6, &six, text, sizeof(text));
    }
  }
  return text;
}

Result<std::shared_ptr<asio::ssl::context>> make_tls(const TcpEndpoint& door) {
  auto tls = std::make_shared<asio::ssl::context>(asio::ssl::context::tls_server);
  SSL_CTX_set_min_proto_version(tls->native_handle(), TLS1_2_VERSION);
  SSL_CTX_set_options(tls->native_handle(), SSL_OP_NO_RENEGOTIATION | SSL_OP_CIPHER_SERVER_PREFERENCE);
  SSL_CTX_set_mode(tls->native_handle(),
                   SSL_MODE_RELEASE_BUFFERS);  // who only keeps a connection open costs little
  beast::error_code error;
  // Nobody is there to type a passphrase.
  tls->set_password_callback([](std::size_t, asio::ssl::context::password_purpose) { return std::string(); },
                             error);
  tls->use_certificate_chain(asio::buffer(door.certificate), error);
  if (error) return fail(Errc::malformed, "the certificate cannot be used: " + error.message());
  tls->use_private_key(asio::buffer(door.key), asio::ssl::context::pem, error);
  if (error || SSL_CTX_check_private_key(tls->native_handle()) != 1) {
    return fail(Errc::malformed,
                "the key cannot be used: it must be the certificate's, as PEM without a passphrase");
  }
  return tls;
}

std::string lower(beast::string_view text) {
  std::string out(text.data(), text.size());
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + ('a' - 'A'));
  }
  return out;
}

}  // namespace

class Connection {
 public:
  virtual ~Connection() = default;
  virtual void close() = 0;
};

// Accepts, and knows its connections.
class HttpServer::Listener : public std::enable_shared_from_this<HttpServer::Listener> {
 public:
  struct Options {
    HttpHandler handler;
    HttpLimits limits;
    EventHub* hub = nullptr;
    std::filesystem::path path = {};  // of a Unix domain socket
    std::shared_ptr<asio::ssl::context> tls = nullptr;
    std::vector<std::pair<std::string, std::string>> headers = {};
  };

  Listener(asio::io_context& io, int family, int listening, Options manner)
      : acceptor_(io, Sockets(family, 0), listening),
        retry_(io),
        manner_(std::move(manner)),
        identity_(manner_.path.empty() ? std::nullopt : identity_of(manner_.path)) {}

  void accept();
  void close();
  HttpResponse handle(const HttpRequest& request) const;
  const Options& manner() const { return manner_; }
  void forget(Connection* connection) { connections_.erase(connection); }

 private:
  void greet(Sockets::socket socket);

  asio::basic_socket_acceptor<Sockets> acceptor_;
  asio::steady_timer retry_;
  Options manner_;
  std::optional<FileIdentity> identity_;
  std::set<Connection*> connections_;
};

namespace {

// One client: requests and responses in turn until either side has enough, or an event stream.
template <class Stream>
class HttpSession final : public Connection, public std::enable_shared_from_this<HttpSession<Stream>> {
 public:
  template <class... Tls>
  HttpSession(std::string peer, std::shared_ptr<HttpServer::Listener> listener, Sockets::socket socket,
              Tls&... tls)
      : stream_(std::move(socket), tls...),
        peer_(std::move(peer)),
        listener_(std::move(listener)),
        ping_(stream_.get_executor()) {}
  ~HttpSession() override { listener_->forget(this); }
  HttpSession(const HttpSession&) = delete;
  HttpSession& operator=(const HttpSession&) = delete;

  void begin() {
    if constexpr (kEncrypted) {
      lowest().expires_after(limits().idle);
      stream_.async_handshake(asio::ssl::stream_base::server,
                              [self = this->shared_from_this()](beast::error_code error) {
                                if (error) return self->close();
                                self->read();
                              });
    } else {
      read();
    }
  }

  void refuse(int status, const std::string& detail) { write(problem(status, detail), 11, false, false); }

  void close() override {
    if (closed_) return;
    closed_ = true;
    if (subscription_) listener_->manner().hub->unsubscribe(*subscription_);
    ping_.cancel();
    beast::error_code ignored;
    lowest().socket().shutdown(Sockets::socket::shutdown_both, ignored);
    lowest().close();
  }

 private:
  static constexpr bool kEncrypted = std::is_same_v<Stream, Encrypted>;

  Plain& lowest() { return beast::get_lowest_layer(stream_); }
  const HttpLimits& limits() const { return listener_->manner().limits; }

  void read() {
    parser_.emplace();
    parser_->header_limit(static_cast<std::uint32_t>(limits().header_bytes));
    parser_->body_limit(limits().body_bytes);
    lowest().expires_after(limits().idle);
    http::async_read(
        stream_, buffer_, *parser_,
        [self = this->shared_from_this()](beast::error_code error, std::size_t) { self->answer(error); });
  }

  void answer(beast::error_code error) {
    if (closed_) return;
    if (!error) return answer(parser_->get());
    if (error == http::error::body_limit) {
      return refuse(413, fmt::format("a body may have at most {} bytes", limits().body_bytes));
    }
    if (error == http::error::header_limit) {
      return refuse(431, fmt::format("headers may have at most {} bytes", limits().header_bytes));
    }
    // The client has left, or was too slow: nobody waits for an answer.
    const bool left = error == http::error::end_of_stream || error == http::error::partial_message;
    const bool not_http = error.category() == http::make_error_code(http::error::bad_method).category();
    if (left || !not_http) return close();
    refuse(400, "this is not an HTTP request: " + error.message());
  }

  void answer(const http::request<http::string_body>& message) {
    HttpRequest request{.method = std::string(message.method_string()),
                        .target = std::string(message.target()),
                        .content_type = std::string(message[http::field::content_type]),
                        .body = message.body(),
                        .peer = peer_,
                        .secure = kEncrypted};
    for (const auto& field : message) {
      const std::string name = lower(field.name_string());
      const std::string value(field.value());
      const auto [at, first] = request.headers.try_emplace(name, value);
      if (!first) at->second += (name == "cookie" ? "; " : ", ") + value;
    }
    const bool head = request.method == "HEAD";
    if (head) request.method = "GET";
    HttpResponse response = sent_form(request, listener_->handle(request), limits().answer_bytes);
    if (response.event_stream && !head && listener_->manner().hub) return stream(std::move(response));
    write(std::move(response), message.version(), message.keep_alive(), head);
  }

  void fill(HttpResponse&& response, unsigned version) {
    response_ = {};
    response_.version(version);
    response_.result(static_cast<unsigned>(response.status));
    for (const auto& [key, value] : listener_->manner().headers) response_.set(key, value);
    response_.set(http::field::content_type, response.content_type);
    // May be kept, but not be used without asking whether it still holds.
    response_.set(http::field::cache_control, "private, no-cache");
    for (const auto& [key, value] : response.headers) response_.set(key, value);
    response_.body() = std::move(response.body);
  }

  void write(HttpResponse response, unsigned version, bool keep_alive, bool head) {
    fill(std::move(response), version);
    response_.keep_alive(keep_alive);
    response_.prepare_payload();
    if (head) response_.body().clear();
    lowest().expires_after(limits().idle);
    http::async_write(stream_, response_,
                      [self = this->shared_from_this()](beast::error_code error, std::size_t) {
                        if (!error && !self->closed_ && self->response_.keep_alive()) return self->read();
                        self->close();
                      });
  }

  // The end of an event stream is the end of the connection: its length is nowhere said.
  void stream(HttpResponse response) {
    fill(std::move(response), 11);
    response_.keep_alive(false);
    subscription_ =
        listener_->manner().hub->subscribe([weak = this->weak_from_this()](const EventHub::Event& event) {
          if (const auto self = weak.lock()) self->push(event);
        });
    writing_ = true;
    lowest().expires_after(limits().idle);
    http::async_write(stream_, response_,
                      [self = this->shared_from_this()](beast::error_code error, std::size_t) {
                        if (error && error != http::error::end_of_stream) return self->close();
                        if (self->closed_) return;
                        self->writing_ = false;
                        self->watch();
                        self->pump();
                        self->ping();
                      });
  }

  // A client has nothing more to say on an event stream: what comes is its end.
  void watch() {
    lowest().expires_never();
    stream_.async_read_some(asio::buffer(nothing_), [self = this->shared_from_this()](
                                                        beast::error_code, std::size_t) { self->close(); });
  }

  void push(const EventHub::Event& event) {
    if (closed_) return;
    behind_ += event->size();
    if (behind_ > limits().stream_bytes) return close();
    events_.push_back(event);
    pump();
  }

  void pump() {
    if (writing_ || closed_ || events_.empty()) return;
    writing_ = true;
    lowest().expires_after(limits().idle);
    asio::async_write(stream_, asio::buffer(*events_.front()),
                      [self = this->shared_from_this()](beast::error_code error, std::size_t) {
                        if (error) return self->close();
                        self->behind_ -= self->events_.front()->size();
                        self->events_.pop_front();
                        self->writing_ = false;
                        self->pump();
                      });
  }

  void ping() {
    static const EventHub::Event kPing = std::make_shared<const std::string>(": ping\n\n");
    ping_.expires_after(limits().ping);
    ping_.async_wait([self = this->shared_from_this()](beast::error_code cancelled) {
      if (cancelled || self->closed_) return;
      self->push(kPing);
      self->ping();
    });
  }

  Stream stream_;
  const std::string peer_;
  std::shared_ptr<HttpServer::Listener> listener_;
  asio::steady_timer ping_;
  beast::flat_buffer buffer_;
  std::optional<http::request_parser<http::string_body>> parser_;
  http::response<http::string_body> response_;
  std::optional<std::uint64_t> subscription_;
  std::deque<EventHub::Event> events_;  // the first is being written
  std::size_t behind_ = 0;              // their bytes
  char nothing_[16];
  bool writing_ = false;
  bool closed_ = false;
};

}  // namespace

void HttpServer::Listener::accept() {
  acceptor_.async_accept([self = shared_from_this()](beast::error_code error, Sockets::socket socket) {
    if (!self->acceptor_.is_open()) return;
    if (error) {
      // Out of file descriptors, most likely: some will come free.
      self->retry_.expires_after(std::chrono::milliseconds(100));
      self->retry_.async_wait([self](beast::error_code cancelled) {
        if (!cancelled) self->accept();
      });
      return;
    }
    self->greet(std::move(socket));
    self->accept();
  });
}

void HttpServer::Listener::greet(Sockets::socket socket) {
  std::string peer = "unix";
  if (manner_.path.empty()) {
    const int yes = 1;  // an answer's last piece does not wait for the client to acknowledge the one before
    ::setsockopt(socket.native_handle(), IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
    beast::error_code error;
    const auto endpoint = socket.remote_endpoint(error);
    if (error) return;  // it has left already
    peer = address_text(reinterpret_cast<const sockaddr*>(endpoint.data()));
  }
  const bool full = connections_.size() >= manner_.limits.connections;
  if (manner_.tls) {
    if (full) return;
    const auto talk =
        std::make_shared<HttpSession<Encrypted>>(peer, shared_from_this(), std::move(socket), *manner_.tls);
    connections_.insert(talk.get());
    return talk->begin();
  }
  const auto talk = std::make_shared<HttpSession<Plain>>(peer, shared_from_this(), std::move(socket));
  connections_.insert(talk.get());
  if (full) return talk->refuse(503, "too many connections are open; try again in a moment");
  talk->begin();
}

void HttpServer::Listener::close() {
  beast::error_code ignored;
  acceptor_.close(ignored);
  retry_.cancel();
  for (Connection* connection : connections_) connection->close();
  if (identity_ && identity_of(manner_.path) == identity_) ::unlink(manner_.path.c_str());
}

HttpResponse HttpServer::Listener::handle(const HttpRequest& request) const {
  try {
    return manner_.handler(request);
  } catch (const std::exception& bug) {
    return problem(500, std::string("the daemon failed to answer: ") + bug.what());
  }
}

namespace {

Result<std::shared_ptr<HttpServer::Listener>> start(asio::io_context& io, int family, Descriptor listening,
                                                    HttpServer::Listener::Options manner) {
  try {
    auto listener = std::make_shared<HttpServer::Listener>(io, family, listening.get(), std::move(manner));
    listening.release();
    listener->accept();
    return listener;
  } catch (const std::exception& error) {
    return fail(Errc::unavailable, fmt::format("cannot listen: {}", error.what()));
  }
}

}  // namespace

Result<std::unique_ptr<HttpServer>> HttpServer::listen(asio::io_context& io,
                                                       const std::filesystem::path& socket, unsigned mode,
                                                       HttpHandler handler, HttpLimits limits,
                                                       EventHub* hub) {
  BOOST_OUTCOME_TRY(listening, bind_and_listen(socket, mode));
  BOOST_OUTCOME_TRY(listener,
                    start(io, AF_UNIX, std::move(listening),
                          {.handler = std::move(handler), .limits = limits, .hub = hub, .path = socket}));
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(listener)));
}

Result<std::unique_ptr<HttpServer>> HttpServer::listen(asio::io_context& io, const TcpEndpoint& door,
                                                       HttpHandler handler, HttpLimits limits,
                                                       EventHub* hub) {
  std::shared_ptr<asio::ssl::context> tls;
  if (!door.certificate.empty()) {
    BOOST_OUTCOME_TRY(made, make_tls(door));
    tls = std::move(made);
  }
  BOOST_OUTCOME_TRY(listening, bind_and_listen(door));
  const int family = door.address.find(':') == std::string::npos ? AF_INET : AF_INET6;
  BOOST_OUTCOME_TRY(listener, start(io, family, std::move(listening),
                                    {.handler = std::move(handler),
                                     .limits = limits,
                                     .hub = hub,
                                     .tls = std::move(tls),
                                     .headers = door.headers}));
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(listener)));
}

HttpServer::HttpServer(std::shared_ptr<Listener> listener) : listener_(std::move(listener)) {}
HttpServer::~HttpServer() { listener_->close(); }

}  // namespace gyle
