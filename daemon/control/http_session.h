#pragma once

// Private to http_server.cpp: one connection of an HttpServer. Here so that the server's file is about who
// may connect, and this one about the traffic of a connection.

#include <fmt/format.h>

#include <array>
#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/ssl/ssl_stream.hpp>
#include <deque>
#include <exception>
#include <memory>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "control/event_hub.h"
#include "control/http_server.h"
#include "control/json_answer.h"
#include "control/request_reader.h"
#include "control/response_encoding.h"

namespace gyle::http_server {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using Sockets = asio::generic::stream_protocol;  // Unix domain and TCP alike
using Plain = beast::basic_stream<Sockets>;
using Encrypted = beast::ssl_stream<Plain>;

class Connection {
 public:
  virtual ~Connection() = default;
  virtual const std::string& peer() const = 0;
  // Has no whole request, or has been answered for the last time: whoever comes may have its place.
  virtual bool waits() const = 0;
  virtual bool was_answered() const = 0;
  virtual void close() = 0;
};

// What a connection needs of the server; outlives it.
class Host {
 public:
  struct Options {
    HttpHandler handler;
    HttpLimits limits;
    EventHub* hub = nullptr;
    std::filesystem::path path = {};  // of a Unix domain socket
    std::shared_ptr<asio::ssl::context> tls = nullptr;
    std::vector<std::pair<std::string, std::string>> headers = {};
  };
  virtual ~Host() = default;
  virtual const Options& options() const = 0;
  virtual HttpResponse handle(const HttpRequest& request) = 0;
  virtual void forget(Connection* connection) = 0;
  // An exception ended a connection.
  virtual void broken(const char* what) = 0;
};

// One client: requests and responses in turn until either side closes, or an event stream.
template <class Stream>
class Session final : public Connection, public std::enable_shared_from_this<Session<Stream>> {
 public:
  template <class... Tls>
  Session(std::string peer, std::shared_ptr<Host> host, Sockets::socket socket, Tls&... tls)
      : stream_(std::move(socket), tls...),
        peer_(std::move(peer)),
        host_(std::move(host)),
        reader_({limits().header_bytes, limits().body_bytes}),
        ping_(stream_.get_executor()) {}
  ~Session() override { host_->forget(this); }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

  const std::string& peer() const override { return peer_; }
  bool waits() const override { return waits_; }
  bool was_answered() const override { return answered_; }

  void begin() {
    lowest().expires_after(limits().head);
    if constexpr (kEncrypted) {
      stream_.async_handshake(asio::ssl::stream_base::server, guarded([this](beast::error_code error) {
                                if (error) return close();
                                read();
                              }));
    } else {
      read();
    }
  }

  // Answers before anything was asked, and closes.
  void turn_away(int status, const std::string& detail) {
    waits_ = false;
    write(problem(status, detail), 11, false, false);
  }

  void close() override {
    if (closed_) return;
    closed_ = true;
    host_->forget(this);
    if (subscription_) host_->options().hub->unsubscribe(*subscription_);
    ping_.cancel();
    beast::error_code ignored;
    lowest().socket().shutdown(Sockets::socket::shutdown_both, ignored);
    lowest().close();
  }

 private:
  static constexpr bool kEncrypted = std::is_same_v<Stream, Encrypted>;
  // Reads what a refused client still sends, until it has seen the answer.
  static constexpr std::size_t kMostDropped = 1024 * 1024;

  Plain& lowest() { return beast::get_lowest_layer(stream_); }
  const HttpLimits& limits() const { return host_->options().limits; }

  // The handler of a finished read or write. Keeps this session alive; no exception leaves it.
  template <class Work>
  auto guarded(Work work) {
    return [self = this->shared_from_this(), work = std::move(work)](beast::error_code error, auto... bytes) {
      if (self->closed_) return;
      self->survive([&] { work(error, bytes...); });
    };
  }
  template <class Work>
  void survive(Work work) {
    try {
      work();
    } catch (const std::exception& thrown) {
      host_->broken(thrown.what());
      close();
    } catch (...) {
      host_->broken("an unknown exception");
      close();
    }
  }

  void read() {
    waits_ = true;
    stream_.async_read_some(asio::buffer(piece_), guarded([this](beast::error_code error, std::size_t bytes) {
                              // It has left, or was too slow: nobody waits for an answer.
                              if (error) return close();
                              const auto before = reader_.state();
                              go_on(before, reader_.take({piece_.data(), bytes}));
                            }));
  }

  void go_on(RequestReader::State before, RequestReader::State now) {
    using State = RequestReader::State;
    if (now == State::complete) return answer(reader_.release());
    if (now == State::refused) return refuse();
    // Each part of a request has its time, which no trickle of bytes makes longer.
    if (now != before) lowest().expires_after(now == State::head ? limits().head : limits().idle);
    read();
  }

  void refuse() {
    waits_ = false;
    write(problem(reader_.refusal().status, reader_.refusal().detail), 11, false, false);
  }

  void answer(RequestReader::Received received) {
    waits_ = false;
    received_ = std::move(received);
    HttpRequest& request = received_.request;
    request.peer = peer_;
    request.secure = kEncrypted;
    head_ = request.method == "HEAD";
    if (head_) request.method = "GET";
    handle();
  }

  void handle() {
    HttpResponse handled = host_->handle(received_.request);
    if (handled.later) {
      return handled.later([self = this->shared_from_this()] {
        if (!self->closed_) self->survive([&] { self->handle(); });
      });
    }
    HttpResponse response = encoded_response(received_.request, std::move(handled), limits().answer_bytes);
    if (response.event_stream && !head_ && host_->options().hub) return stream(std::move(response));
    write(std::move(response), received_.version, received_.keep_alive, head_);
  }

  void fill(HttpResponse&& response, unsigned version) {
    response_ = {};
    response_.version(version);
    response_.result(static_cast<unsigned>(response.status));
    for (const auto& [key, value] : host_->options().headers) response_.set(key, value);
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
    http::async_write(stream_, response_, guarded([this](beast::error_code error, std::size_t) {
                        answered_ = true;
                        if (error && error != http::error::end_of_stream) return close();
                        if (!response_.keep_alive()) return leave();
                        lowest().expires_after(limits().idle);
                        // What the client did not wait to send is here already.
                        go_on(RequestReader::State::between, reader_.state());
                      }));
  }

  // To close at once what still has unread bytes would reset the connection, and the client might never see
  // the answer.
  void leave() {
    if (reader_.state() != RequestReader::State::refused) return close();
    waits_ = true;
    beast::error_code ignored;
    lowest().socket().shutdown(Sockets::socket::shutdown_send, ignored);
    lowest().expires_after(limits().linger);
    drop();
  }
  void drop() {
    lowest().async_read_some(asio::buffer(piece_),
                             guarded([this](beast::error_code error, std::size_t bytes) {
                               dropped_ += bytes;
                               if (error || dropped_ > kMostDropped) return close();
                               drop();
                             }));
  }

  // The end of an event stream is the end of the connection: it has no Content-Length.
  void stream(HttpResponse response) {
    fill(std::move(response), 11);
    response_.keep_alive(false);
    subscription_ =
        host_->options().hub->subscribe([weak = this->weak_from_this()](const EventHub::Event& event) {
          if (const auto self = weak.lock()) self->survive([&] { self->push(event); });
        });
    writing_ = true;
    lowest().expires_after(limits().idle);
    http::async_write(stream_, response_, guarded([this](beast::error_code error, std::size_t) {
                        answered_ = true;
                        if (error && error != http::error::end_of_stream) return close();
                        writing_ = false;
                        watch();
                        pump();
                        ping();
                      }));
  }

  // A client sends nothing more on an event stream: what arrives is its end.
  void watch() {
    lowest().expires_never();
    stream_.async_read_some(asio::buffer(piece_),
                            guarded([this](beast::error_code, std::size_t) { close(); }));
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
                      guarded([this](beast::error_code error, std::size_t) {
                        if (error) return close();
                        behind_ -= events_.front()->size();
                        events_.pop_front();
                        writing_ = false;
                        pump();
                      }));
  }

  void ping() {
    static const EventHub::Event kPing = std::make_shared<const std::string>(": ping\n\n");
    ping_.expires_after(limits().ping);
    ping_.async_wait(guarded([this](beast::error_code cancelled) {
      if (cancelled) return;
      push(kPing);
      ping();
    }));
  }

  Stream stream_;
  const std::string peer_;
  std::shared_ptr<Host> host_;
  RequestReader reader_;
  RequestReader::Received received_;  // being answered
  bool head_ = false;
  asio::steady_timer ping_;
  std::array<char, 8192> piece_{};
  http::response<http::string_body> response_;
  std::optional<std::uint64_t> subscription_;
  std::deque<EventHub::Event> events_;  // the first is being written
  std::size_t behind_ = 0;              // their bytes
  std::size_t dropped_ = 0;
  bool waits_ = true;
  bool answered_ = false;
  bool writing_ = false;
  bool closed_ = false;
};

}  // namespace gyle::http_server
