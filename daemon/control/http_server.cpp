#include "control/http_server.h"

#include <fmt/format.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <spdlog/spdlog.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <set>

#include "control/http_session.h"
#include "control/listening_socket.h"

namespace gyle {

using namespace http_server;

namespace {

Result<std::shared_ptr<asio::ssl::context>> make_tls(const TcpEndpoint& endpoint) {
  auto tls = std::make_shared<asio::ssl::context>(asio::ssl::context::tls_server);
  SSL_CTX_set_min_proto_version(tls->native_handle(), TLS1_2_VERSION);
  SSL_CTX_set_options(tls->native_handle(), SSL_OP_NO_RENEGOTIATION | SSL_OP_CIPHER_SERVER_PREFERENCE);
  SSL_CTX_set_mode(tls->native_handle(),
                   SSL_MODE_RELEASE_BUFFERS);  // an idle connection costs little
  beast::error_code error;
  // Nobody is there to type a passphrase.
  tls->set_password_callback([](std::size_t, asio::ssl::context::password_purpose) { return std::string(); },
                             error);
  tls->use_certificate_chain(asio::buffer(endpoint.certificate), error);
  if (error) return fail(Errc::malformed, "the certificate cannot be used: " + error.message());
  tls->use_private_key(asio::buffer(endpoint.key), asio::ssl::context::pem, error);
  if (error || SSL_CTX_check_private_key(tls->native_handle()) != 1) {
    return fail(Errc::malformed,
                "the key cannot be used: it must be the certificate's, as PEM without a passphrase");
  }
  return tls;
}

}  // namespace

// Accepts, and knows its connections.
class HttpServer::Listener : public Host, public std::enable_shared_from_this<HttpServer::Listener> {
 public:
  Listener(asio::io_context& io, int family, int listening, Options options)
      : acceptor_(io, Sockets(family, 0), listening),
        retry_(io),
        options_(std::move(options)),
        identity_(options_.path.empty() ? std::nullopt : identity_of(options_.path)) {}

  void accept();
  void close();
  const Options& options() const override { return options_; }
  HttpResponse handle(const HttpRequest& request) override;
  void forget(Connection* connection) override { std::erase(connections_, connection); }
  void broken(const char* what) override;

 private:
  void greet(Sockets::socket socket);
  bool has_room_for(const std::string& peer);
  template <class Eligible>
  bool displace(Eligible eligible);

  asio::basic_socket_acceptor<Sockets> acceptor_;
  asio::steady_timer retry_;
  Options options_;
  std::optional<FileIdentity> identity_;
  std::vector<Connection*> connections_;  // in the order they came
  std::set<std::string> logged_;
};

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
    try {
      self->greet(std::move(socket));
    } catch (const std::exception& thrown) {
      self->broken(thrown.what());
    }
    self->accept();
  });
}

void HttpServer::Listener::greet(Sockets::socket socket) {
  std::string peer = "unix";
  if (options_.path.empty()) {
    const int yes = 1;  // an answer's last piece does not wait for the client to acknowledge the one before
    ::setsockopt(socket.native_handle(), IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
    beast::error_code error;
    const auto endpoint = socket.remote_endpoint(error);
    if (error) return;  // it has left already
    peer = address_text(reinterpret_cast<const sockaddr*>(endpoint.data()));
  }
  const bool room = has_room_for(peer);
  // Connections that are turned away take a little time, too.
  constexpr std::size_t kTurnedAway = 16;
  if (!room && (options_.tls || connections_.size() >= options_.limits.connections + kTurnedAway)) return;
  if (options_.tls) {
    const auto session =
        std::make_shared<Session<Encrypted>>(peer, shared_from_this(), std::move(socket), *options_.tls);
    connections_.push_back(session.get());
    return session->begin();
  }
  const auto session = std::make_shared<Session<Plain>>(peer, shared_from_this(), std::move(socket));
  connections_.push_back(session.get());
  if (!room) return session->turn_away(503, "too many connections are open; try again in a moment");
  session->begin();
}

bool HttpServer::Listener::has_room_for(const std::string& peer) {
  const auto same = [&peer](const Connection* one) { return one->peer() == peer; };
  const auto of_peer = std::count_if(connections_.begin(), connections_.end(), same);
  if (static_cast<std::size_t>(of_peer) >= options_.limits.connections_per_address) return displace(same);
  if (connections_.size() < options_.limits.connections) return true;
  return displace([](const Connection*) { return true; });
}

// Closes a connection that waits: the oldest of those that never sent a request, otherwise the oldest of all.
template <class Eligible>
bool HttpServer::Listener::displace(Eligible eligible) {
  for (const bool answered : {false, true}) {
    const auto found = std::find_if(connections_.begin(), connections_.end(), [&](const Connection* one) {
      return one->waits() && one->was_answered() == answered && eligible(one);
    });
    if (found == connections_.end()) continue;
    (*found)->close();
    return true;
  }
  return false;
}

void HttpServer::Listener::close() {
  beast::error_code ignored;
  acceptor_.close(ignored);
  retry_.cancel();
  const std::vector<Connection*> open = connections_;
  for (Connection* connection : open) connection->close();
  if (identity_ && identity_of(options_.path) == identity_) ::unlink(options_.path.c_str());
}

HttpResponse HttpServer::Listener::handle(const HttpRequest& request) {
  try {
    return options_.handler(request);
  } catch (const std::exception& bug) {
    return problem(500, std::string("the daemon failed to answer: ") + bug.what());
  } catch (...) {
    return problem(500, "the daemon failed to answer");
  }
}

void HttpServer::Listener::broken(const char* what) {
  constexpr std::size_t kMostLogged = 16;
  if (logged_.size() >= kMostLogged || !logged_.insert(what).second) return;
  spdlog::error("a connection was closed after an error of the daemon's own, reported once: {}", what);
}

namespace {

Result<std::shared_ptr<HttpServer::Listener>> start(asio::io_context& io, int family, Descriptor listening,
                                                    Host::Options options) {
  try {
    auto listener = std::make_shared<HttpServer::Listener>(io, family, listening.get(), std::move(options));
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

Result<std::unique_ptr<HttpServer>> HttpServer::listen(asio::io_context& io, const TcpEndpoint& endpoint,
                                                       HttpHandler handler, HttpLimits limits,
                                                       EventHub* hub) {
  std::shared_ptr<asio::ssl::context> tls;
  if (!endpoint.certificate.empty()) {
    BOOST_OUTCOME_TRY(made, make_tls(endpoint));
    tls = std::move(made);
  }
  BOOST_OUTCOME_TRY(listening, bind_and_listen(endpoint));
  const int family = endpoint.address.find(':') == std::string::npos ? AF_INET : AF_INET6;
  BOOST_OUTCOME_TRY(listener, start(io, family, std::move(listening),
                                    {.handler = std::move(handler),
                                     .limits = limits,
                                     .hub = hub,
                                     .tls = std::move(tls),
                                     .headers = endpoint.headers}));
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(listener)));
}

HttpServer::HttpServer(std::shared_ptr<Listener> listener) : listener_(std::move(listener)) {}
HttpServer::~HttpServer() { listener_->close(); }

}  // namespace gyle
