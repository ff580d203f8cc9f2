// The server on TCP; what it has in common with the Unix domain socket is in http_server_test.cpp.
#include <algorithm>
#include <atomic>
#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <catch2/catch.hpp>
#include <future>
#include <thread>
#include <vector>

#include "control/event_hub.h"
#include "control/http_server.h"
#include "support/broker.h"
#include "support/process.h"
#include "support/raw_client.h"

using namespace gyle;
using namespace std::chrono_literals;
using Catch::Matchers::Contains;
using Catch::Matchers::EndsWith;
using Catch::Matchers::StartsWith;
using gyle::test::eventually;
using gyle::test::free_port;
using gyle::test::RawClient;

namespace {

// A server on its own thread: "/events" is an event stream, "/long" 900 kB that do not compress, all else
// echoes the request.
struct Running {
  explicit Running(HttpLimits limits = {}, std::string address = "127.0.0.1") : port(free_port()) {
    TcpEndpoint door{std::move(address), static_cast<std::uint16_t>(port)};
    door.headers = {{"X-Always", "yes"}};
    server = HttpServer::listen(
        io, door, [this](const HttpRequest& request) { return answer(request); }, limits, &hub);
    thread = std::thread([this] { io.run(); });
  }
  ~Running() {
    boost::asio::post(io, [this] { server = fail(Errc::unavailable, "closed"); });
    work.reset();
    thread.join();
  }
  HttpResponse answer(const HttpRequest& request) const {
    if (request.target == "/events") {
      return {.content_type = "text/event-stream", .body = "retry: 2000\n\n", .event_stream = true};
    }
    std::string body = request.method + " " + request.peer + (request.secure ? " secure." : " plain.");
    for (const auto& [name, value] : request.headers) body += " " + name + "=" + value;
    if (request.target == "/long") body.assign(900'000, 'x');
    return {.content_type = "text/plain", .body = body};
  }
  // On the server's thread, and done when it returns.
  template <class Work>
  auto on_loop(Work do_it) {
    std::packaged_task<decltype(do_it())()> task(do_it);
    auto done = task.get_future();
    boost::asio::post(io, [&task] { task(); });
    return done.get();
  }
  void publish(const std::string& text) {
    on_loop([&] { hub.publish(text); });
  }
  std::size_t listeners() {
    return on_loop([&] { return hub.listeners(); });
  }

  boost::asio::io_context io;
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type> work{io.get_executor()};
  EventHub hub;
  int port;
  Result<std::unique_ptr<HttpServer>> server = fail(Errc::unavailable, "not yet");
  std::thread thread;
};

const std::string kClose = "Connection: close\r\n\r\n";

std::string asked(const Running& running, const std::string& bytes) {
  const RawClient client(running.port);
  client.say(bytes);
  return client.hear_all();
}

}  // namespace

TEST_CASE("a request through the network has its peer and its fields") {
  const Running running;
  REQUIRE(running.server);
  const std::string heard =
      asked(running,
            "GET / HTTP/1.1\r\nHOST: cellar\r\nCookie: a=b\r\ncookie: c=d\r\nX-A: 1\r\nx-a: 2\r\n" + kClose);
  CHECK_THAT(heard, StartsWith("HTTP/1.1 200") && Contains("GET 127.0.0.1 plain.") &&
                        Contains(" host=cellar") && Contains(" cookie=a=b; c=d") && Contains(" x-a=1, 2"));
}

TEST_CASE("the fields of every answer are also on those that no handler sees") {
  const Running running(HttpLimits{.body_bytes = 100, .header_bytes = 1000});
  for (const std::string& bytes : {std::string("GET / HTTP/1.1\r\n") + kClose, std::string("noise\r\n\r\n"),
                                   std::string("POST / HTTP/1.1\r\nContent-Length: 101\r\n\r\n"),
                                   "GET / HTTP/1.1\r\nX: " + std::string(2000, 'x') + "\r\n\r\n"}) {
    CHECK_THAT(asked(running, bytes), Contains("X-Always: yes\r\n"));
  }
}

TEST_CASE("HEAD has the fields of GET and no body") {
  const Running running;
  const std::string head = asked(running, "HEAD /long HTTP/1.1\r\n" + kClose);
  CHECK_THAT(head, StartsWith("HTTP/1.1 200") && Contains("Content-Length: 900000\r\n") &&
                       Contains("ETag: ") && EndsWith("\r\n\r\n"));
}

TEST_CASE("an unchanged answer is 304, without a body, and the connection lasts") {
  const Running running;
  const std::string first = asked(running, "GET /long HTTP/1.1\r\n" + kClose);
  const std::size_t at = first.find("ETag: ") + 6;
  const std::string tag = first.substr(at, first.find("\r\n", at) - at);
  const RawClient client(running.port);
  for (int i = 0; i < 3; ++i) {
    client.say("GET /long HTTP/1.1\r\nIf-None-Match: " + tag + "\r\n\r\n");
    const std::string answer = client.hear_until("\r\n\r\n");
    CHECK_THAT(answer,
               StartsWith("HTTP/1.1 304") && Contains("ETag: " + tag) && !Contains("Content-Length: 9"));
  }
}

TEST_CASE("many small answers on one connection do not wait for each other") {
  // Forty milliseconds each is what Nagle's algorithm and delayed acknowledgement cost together.
  const Running running;
  const RawClient client(running.port);
  const auto begin = std::chrono::steady_clock::now();
  for (int i = 0; i < 100; ++i) {
    client.say("GET / HTTP/1.1\r\n\r\n");
    client.hear_until("plain.");
  }
  CHECK(std::chrono::steady_clock::now() - begin < 2s);
}

TEST_CASE("an event stream begins at once, carries every event in order, and pings") {
  Running running(HttpLimits{.ping = Duration(100)});
  const RawClient client(running.port);
  client.say("GET /events HTTP/1.1\r\n\r\n");
  const std::string head = client.hear_until("retry: 2000\n\n");
  CHECK_THAT(head, Contains("Content-Type: text/event-stream") && !Contains("Content-Length"));
  for (int i = 0; i < 50; ++i) running.publish("data: " + std::to_string(i) + "\n\n");
  const std::string events = client.hear_until("data: 49\n\n");
  std::size_t last = 0;
  for (int i = 0; i < 50; ++i) {
    const std::size_t at = events.find("data: " + std::to_string(i) + "\n\n", last);
    REQUIRE(at != std::string::npos);
    last = at;
  }
  CHECK_THAT(client.hear_until(": ping\n\n"), EndsWith(": ping\n\n"));
}

TEST_CASE("a stream outlives the time that a request may take, and ends when the client leaves") {
  Running running(HttpLimits{.idle = Duration(200), .ping = Duration(10000)});
  {
    const RawClient client(running.port);
    client.say("GET /events HTTP/1.1\r\n\r\n");
    client.hear_until("retry: 2000\n\n");
    std::this_thread::sleep_for(500ms);  // long enough for a wrong close to show
    running.publish("data: still here\n\n");
    CHECK_THAT(client.hear_until("here\n\n"), EndsWith("still here\n\n"));
  }
  CHECK(eventually([&] { return running.listeners() == 0; }));
}

TEST_CASE("a client that does not read its stream is dropped; the others get every event, and soon") {
  Running running(HttpLimits{.stream_bytes = 64 * 1024});
  const RawClient lazy(running.port, 4096);
  const RawClient keen(running.port);
  for (const RawClient* client : {&lazy, &keen}) {
    client->say("GET /events HTTP/1.1\r\n\r\n");
    client->hear_until("retry: 2000\n\n");
  }
  // The system itself takes some megabytes for the one that does not read.
  const std::string event = "data: " + std::string(8000, 'x') + "\n\n";
  int published = 0;
  while (running.listeners() == 2 && published < 5000) {
    running.publish(event);
    ++published;
    REQUIRE(keen.hear_until("\n\n").size() == event.size());
  }
  CHECK(published < 5000);
  CHECK(running.listeners() == 1);
}

TEST_CASE("a client that takes an answer too slowly is disconnected") {
  Running running(HttpLimits{.connections = 1, .idle = Duration(300)});
  const RawClient lazy(running.port, 4096);
  // Far more than the system holds for a client; the rest waits in the server until the time is over.
  for (int i = 0; i < 40; ++i) lazy.say("GET /long HTTP/1.1\r\n\r\n");
  CHECK(eventually([&] { return asked(running, "GET / HTTP/1.1\r\n" + kClose).find("HTTP/1.1 200") == 0; }));
}

TEST_CASE("three hundred slow clients keep nobody out") {
  const Running running(HttpLimits{.connections = 256, .connections_per_address = 64});
  std::vector<RawClient> slow;
  for (int i = 0; i < 300; ++i) {
    slow.emplace_back(running.port);
    slow.back().say("GET / HT");
  }
  for (int i = 0; i < 10; ++i) {
    const RawClient client(running.port);
    client.say("GET / HTTP/1.1\r\n\r\n");
    CHECK_THAT(client.hear_until("plain."), StartsWith("HTTP/1.1 200"));
  }
}

TEST_CASE("one connection more than an address may have is answered with 503 when none of them waits") {
  Running running(HttpLimits{.connections = 10, .connections_per_address = 3});
  std::vector<RawClient> streams;
  for (int i = 0; i < 3; ++i) {
    streams.emplace_back(running.port);
    streams.back().say("GET /events HTTP/1.1\r\n\r\n");
    streams.back().hear_until("retry: 2000\n\n");
  }
  CHECK_THAT(asked(running, ""), StartsWith("HTTP/1.1 503"));
  running.publish("data: still here\n\n");
  for (const RawClient& stream : streams)
    CHECK_THAT(stream.hear_until("here\n\n"), EndsWith("still here\n\n"));
}

TEST_CASE("a field behind a body signs nobody in, and none of its bytes is a request") {
  const Running running;
  const std::string heard = asked(running,
                                  "POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n"
                                  "Authorization: Bearer secret\r\nX: " +
                                      std::string(65'534, 'x') + "\r\n\r\nGET / HTTP/1.1\r\n\r\n");
  CHECK_THAT(heard, StartsWith("HTTP/1.1 411") && !Contains("secret") && !Contains("200 OK"));
  CHECK_THAT(asked(running, "GET / HTTP/1.1\r\n" + kClose), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("two hundred clients that keep their connections slow down nobody else") {
  const Running running(HttpLimits{.connections = 256, .connections_per_address = 256});
  std::vector<RawClient> idle;
  for (int i = 0; i < 200; ++i) idle.emplace_back(running.port);
  for (int i = 0; i < 50; ++i) idle[static_cast<std::size_t>(i)].say("GET / HT");
  CHECK_THAT(asked(running, "GET / HTTP/1.1\r\n" + kClose), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("an address that cannot be used is reported") {
  const Running running;
  boost::asio::io_context io;
  const auto why = [&io](const TcpEndpoint& door) { return HttpServer::listen(io, door, {}).error(); };
  CHECK(why({"127.0.0.1", static_cast<std::uint16_t>(running.port)}).code == Errc::conflict);
  CHECK(why({"192.0.2.1", 8480}).code == Errc::unavailable);  // RFC 5737: no machine has it
  CHECK(why({"cellar.local", 8480}).code == Errc::malformed);
  CHECK(why({"127.0.0.1", 8480, "no certificate", "no key"}).code == Errc::malformed);
}

TEST_CASE("streams that are open when the server ends are closed") {
  auto running = std::make_unique<Running>();
  const RawClient client(running->port);
  client.say("GET /events HTTP/1.1\r\n\r\n");
  client.hear_until("retry: 2000\n\n");
  running.reset();
  CHECK(client.hear_all().empty());
}
