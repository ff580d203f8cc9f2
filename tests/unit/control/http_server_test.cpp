#include "control/http_server.h"

#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <catch2/catch.hpp>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <thread>

#include "support/raw_client.h"
#include "support/temp_dir.h"

using namespace gyle;
using Catch::Matchers::Contains;
using Catch::Matchers::EndsWith;
using Catch::Matchers::StartsWith;
using gyle::test::RawClient;
using gyle::test::TempDir;

namespace {

// A server on its own thread that echoes each request.
struct Running {
  explicit Running(const std::filesystem::path& path, HttpLimits limits = {}, unsigned mode = 0660)
      : server(HttpServer::listen(
            io, path, mode,
            [](const HttpRequest& request) {
              if (request.target == "/throw") throw std::runtime_error("a bug");
              if (request.target == "/throw-anything") throw 7;
              if (request.target == "/unsendable") {  // Beast throws at such a field
                return HttpResponse{.body = "", .headers = {{"X-Long", std::string(70'000, 'x')}}};
              }
              return HttpResponse{.content_type = "text/plain",
                                  .body = request.method + " " + request.target + " " + request.content_type +
                                          " " + std::to_string(request.body.size()) + "."};
            },
            limits)) {
    thread = std::thread([this] { io.run(); });
  }
  ~Running() {
    boost::asio::post(io, [this] { server = fail(Errc::unavailable, "closed"); });
    work.reset();
    thread.join();
  }
  boost::asio::io_context io;
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type> work{io.get_executor()};
  Result<std::unique_ptr<HttpServer>> server;
  std::thread thread;
};

mode_t mode_of(const std::filesystem::path& path) {
  struct stat file {};
  REQUIRE(::stat(path.c_str(), &file) == 0);
  return file.st_mode & 07777;
}

const std::string kClose = "Connection: close\r\n\r\n";
const std::string kChunked = "POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n";

std::string many(const std::string& text, int times) {
  std::string all;
  for (int i = 0; i < times; ++i) all += text;
  return all;
}

}  // namespace

TEST_CASE("requests are answered in turn on one connection until the client closes it") {
  const TempDir dir;
  const Running running(dir / "s");
  REQUIRE(running.server);
  const RawClient client(dir / "s");
  client.say("GET /a?b=c HTTP/1.1\r\nHost: x\r\n\r\n");
  const std::string first = client.hear_until(" 0.");
  CHECK_THAT(first, StartsWith("HTTP/1.1 200") && EndsWith("\r\n\r\nGET /a?b=c  0."));
  client.say("POST /d HTTP/1.1\r\nHost: x\r\nContent-Type: application/toml\r\nContent-Length: 5\r\n" +
             kClose + "12345");
  CHECK_THAT(client.hear_all(), EndsWith("POST /d application/toml 5."));
}

TEST_CASE("a request whose answer is not known yet is begun again, and others are answered meanwhile") {
  const TempDir dir;
  boost::asio::io_context io;
  std::function<void()> again;
  int begun = 0;
  auto server = HttpServer::listen(io, dir / "s", 0660, [&](const HttpRequest& request) {
    if (request.target == "/long") {
      ++begun;
      if (!again) {
        return HttpResponse{.body = "",
                            .later = [&](std::function<void()> work) { again = std::move(work); }};
      }
      return HttpResponse{.content_type = "text/plain", .body = request.method + " at last."};
    }
    if (request.target == "/ready") again();
    return HttpResponse{.content_type = "text/plain", .body = "short."};
  });
  REQUIRE(server);
  std::thread thread([&] { io.run(); });
  {
    const std::string method = GENERATE("GET", "HEAD");
    CAPTURE(method);
    const RawClient patient(dir / "s");
    patient.say(method + " /long HTTP/1.1\r\nHost: x\r\n\r\n");
    const auto ask = [&](const std::string& target) {
      const RawClient client(dir / "s");
      client.say("GET " + target + " HTTP/1.1\r\nHost: x\r\n" + kClose);
      return client.hear_all();
    };
    CHECK_THAT(ask("/a"), EndsWith("short."));
    CHECK_THAT(ask("/ready"), EndsWith("short."));
    // The connection goes on.
    patient.say("GET /b HTTP/1.1\r\nHost: x\r\n" + kClose);
    const std::string answers = patient.hear_all();
    CHECK_THAT(answers, Contains("Content-Length: 12") && EndsWith("short."));
    CHECK((answers.find("GET at last.") != std::string::npos) == (method == "GET"));
  }
  boost::asio::post(io, [&] {
    server = fail(Errc::unavailable, "closed");
    io.stop();
  });
  thread.join();
  CHECK(begun == 2);
}

TEST_CASE("a request may come in small pieces") {
  const TempDir dir;
  const Running running(dir / "s");
  const RawClient client(dir / "s");
  const std::string request = "POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 7\r\n" + kClose + "abcdefg";
  for (const char c : request) client.say(std::string(1, c));
  CHECK_THAT(client.hear_all(), EndsWith("POST /  7."));
}

TEST_CASE("bytes that are not HTTP, or too many, are refused, and the server goes on") {
  const TempDir dir;
  const Running running(dir / "s", HttpLimits{.body_bytes = 1000, .header_bytes = 2000});
  struct Row {
    const char* name;
    std::string bytes;
    const char* status;
  };
  const auto row = GENERATE_REF(values<Row>({
      {"noise", std::string("\x16\x03\x01\x02\x00\x01\xfc\x03\x03\r\n\r\n", 13), "HTTP/1.1 400"},
      {"another version", "GET / HTTP/9.9\r\n\r\n", "HTTP/1.1 400"},
      {"no length that makes sense", "POST / HTTP/1.1\r\nContent-Length: -5\r\n\r\n", "HTTP/1.1 400"},
      {"two lengths", "POST / HTTP/1.1\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n12345",
       "HTTP/1.1 400"},
      {"announced too long", "POST / HTTP/1.1\r\nContent-Length: 1001\r\n\r\n", "HTTP/1.1 413"},
      {"in chunks", kChunked + "3\r\nabc\r\n0\r\n\r\n", "HTTP/1.1 411"},
      {"a chunk with a long extension",
       kChunked + "3;x=" + std::string(200'000, 'x') + "\r\nabc\r\n0\r\n\r\n", "HTTP/1.1 411"},
      {"a long trailer", kChunked + "0\r\nX: " + std::string(65'534, 'x') + "\r\n\r\n", "HTTP/1.1 411"},
      {"many trailers", kChunked + "0\r\n" + many("X: y\r\n", 50'000) + "\r\n", "HTTP/1.1 411"},
      {"a coding that nobody knows",
       "POST / HTTP/1.1\r\nTransfer-Encoding: xchunked\r\n\r\nGET /a HTTP/1.1\r\n\r\n", "HTTP/1.1 501"},
      {"headers too long", "GET / HTTP/1.1\r\nX: " + std::string(3000, 'x') + "\r\n\r\n", "HTTP/1.1 431"},
      {"a handler that throws", "GET /throw HTTP/1.1\r\n" + kClose, "HTTP/1.1 500"},
      {"a handler that throws no exception of the library", "GET /throw-anything HTTP/1.1\r\n" + kClose,
       "HTTP/1.1 500"},
  }));
  CAPTURE(row.name);
  const RawClient client(dir / "s");
  client.say(row.bytes);
  const std::string heard = client.hear_all();
  CHECK_THAT(heard, StartsWith(row.status) && Contains("application/problem+json"));
  CHECK(heard.find("HTTP/1.1", 1) == std::string::npos);  // whatever follows is no request
  const RawClient next(dir / "s");
  next.say("GET / HTTP/1.1\r\n" + kClose);
  CHECK_THAT(next.hear_all(), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("a refused client sees the answer, however much it still has to send") {
  const TempDir dir;
  const Running running(dir / "s", HttpLimits{.linger = Duration(10'000)});
  for (int i = 0; i < 20; ++i) {
    const RawClient client(dir / "s");
    client.say(kChunked + "3;x=" + std::string(900'000, 'x'));
    CHECK_THAT(client.hear_until("}"), StartsWith("HTTP/1.1 411"));
  }
  // A client that sends more is disconnected, and has filled no memory.
  const RawClient endless(dir / "s");
  endless.say(kChunked + "3;x=" + std::string(20'000'000, 'x'));
  CHECK(RawClient(dir / "s").connected());
}

TEST_CASE("a refused client that stays is disconnected") {
  const TempDir dir;
  const Running running(dir / "s", HttpLimits{.linger = Duration(200)});
  const RawClient client(dir / "s");
  client.say(kChunked);
  CHECK_THAT(client.hear_all(), StartsWith("HTTP/1.1 411"));
}

TEST_CASE("an exception in the work for one connection ends only that one") {
  const TempDir dir;
  const Running running(dir / "s");
  for (int i = 0; i < 3; ++i) {
    const RawClient client(dir / "s");
    client.say("GET /unsendable HTTP/1.1\r\n\r\n");
    CHECK(client.hear_all().empty());
  }
  const RawClient next(dir / "s");
  next.say("GET / HTTP/1.1\r\n" + kClose);
  CHECK_THAT(next.hear_all(), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("requests that are sent without waiting for answers are answered in turn") {
  const TempDir dir;
  const Running running(dir / "s");
  const RawClient client(dir / "s");
  client.say("POST /a HTTP/1.1\r\nContent-Length: 3\r\n\r\nabcGET /b HTTP/1.1\r\n\r\nGET /c HTTP/1.1\r\n" +
             kClose);
  const std::string heard = client.hear_all();
  const std::size_t a = heard.find("POST /a  3."), b = heard.find("GET /b  0."), c = heard.find("GET /c  0.");
  CHECK((a < b && b < c && c != std::string::npos));
}

TEST_CASE("a body of exactly the limit is taken") {
  const TempDir dir;
  const Running running(dir / "s");
  const RawClient client(dir / "s");
  client.say("POST / HTTP/1.1\r\nContent-Length: 1048576\r\n" + kClose + std::string(1048576, 'x'));
  CHECK_THAT(client.hear_all(), EndsWith(" 1048576."));
}

TEST_CASE("a client that is slow or leaves is disconnected") {
  const TempDir dir;
  const Running running(dir / "s",
                        HttpLimits{.connections = 1, .head = Duration(200), .idle = Duration(400)});
  {
    const RawClient silent(dir / "s");
    CHECK(silent.hear_all().empty());
  }
  {
    const RawClient slow(dir / "s");
    slow.say("GET / HTTP/1.1\r\nHo");
    CHECK(slow.hear_all().empty());
  }
  { const RawClient gone(dir / "s"); }
  // With one connection allowed, an answer shows that the others are closed.
  std::string heard;
  for (int i = 0; i < 100 && heard.rfind("HTTP/1.1 200", 0) != 0; ++i) {
    const RawClient next(dir / "s");
    next.say("GET / HTTP/1.1\r\n" + kClose);
    heard = next.hear_all();
  }
  CHECK_THAT(heard, StartsWith("HTTP/1.1 200"));
}

TEST_CASE("headers that trickle in have one time limit, whatever the pace") {
  const TempDir dir;
  const Running running(dir / "s", HttpLimits{.head = Duration(300), .idle = Duration(20'000)});
  const RawClient client(dir / "s");
  const auto begin = std::chrono::steady_clock::now();
  std::thread trickle([&client] {
    for (int i = 0; i < 40; ++i) {
      client.say("X");
      std::this_thread::sleep_for(std::chrono::milliseconds(25));
    }
  });
  CHECK(client.hear_all().empty());
  CHECK(std::chrono::steady_clock::now() - begin < std::chrono::milliseconds(900));
  trickle.join();
}

TEST_CASE("a connection above the limit takes the place of one that waits, of a silent one first") {
  const TempDir dir;
  const Running running(dir / "s", HttpLimits{.connections = 3});
  const auto ask = [](const RawClient& client) {
    client.say("GET / HTTP/1.1\r\n\r\n");
    return client.hear_until(" 0.");
  };
  const RawClient first(dir / "s");
  CHECK_THAT(ask(first), StartsWith("HTTP/1.1 200"));
  const RawClient silent(dir / "s");
  const RawClient slow(dir / "s");
  slow.say("GET / HT");
  std::vector<RawClient> next;
  for (const RawClient* displaced : {&silent, &slow, &first}) {
    next.emplace_back(dir / "s");
    CHECK_THAT(ask(next.back()), StartsWith("HTTP/1.1 200"));
    const auto begin = std::chrono::steady_clock::now();
    CHECK(displaced->hear_all().empty());
    CHECK(std::chrono::steady_clock::now() - begin < std::chrono::seconds(5));  // closed, not only silent
  }
  for (const RawClient& client : next) CHECK_THAT(ask(client), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("the socket has exactly the mode asked for, whatever the umask, and is removed at the end") {
  const TempDir dir;
  const mode_t mask = GENERATE(0000u, 0022u, 0077u);
  const unsigned mode = GENERATE(0600u, 0660u, 0666u);
  const mode_t before = ::umask(mask);
  {
    const Running running(dir / "s", {}, mode);
    ::umask(before);
    REQUIRE(running.server);
    CHECK(mode_of(dir / "s") == mode);
  }
  CHECK_FALSE(std::filesystem::exists(dir / "s"));
}

TEST_CASE("a dead daemon's socket is replaced, a live one's and other files are not") {
  const TempDir dir;
  const auto path = dir / "s";
  const auto take = [&path] {
    boost::asio::io_context io;
    return HttpServer::listen(io, path, 0660, {}).error();
  };
  {
    const int fd = ::socket(AF_UNIX, SOCK_STREAM, 0);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    std::strcpy(address.sun_path, path.c_str());
    REQUIRE(::bind(fd, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0);
    ::close(fd);
    REQUIRE(std::filesystem::exists(path));
  }
  {
    const Running running(path);
    REQUIRE(running.server);
    CHECK(take().code == Errc::conflict);
    const RawClient client(path);
    client.say("GET / HTTP/1.1\r\n" + kClose);
    CHECK_THAT(client.hear_all(), StartsWith("HTTP/1.1 200"));
  }
  std::ofstream(path) << "precious";
  CHECK(take().code == Errc::conflict);
  CHECK(std::filesystem::file_size(path) == 8);
}

TEST_CASE("a server does not remove the socket of the one that took its place") {
  const TempDir dir;
  const auto path = dir / "s";
  auto first = std::make_unique<Running>(path);
  std::filesystem::remove(path);
  const Running second(path);
  REQUIRE(second.server);
  first.reset();
  CHECK(RawClient(path).connected());
}

TEST_CASE("a path that cannot hold a socket is refused with the reason") {
  boost::asio::io_context io;
  const auto too_long = HttpServer::listen(io, "/tmp/" + std::string(200, 'x'), 0660, {});
  REQUIRE_FALSE(too_long);
  CHECK_THAT(too_long.error().message, Contains("107"));
  const auto nowhere = HttpServer::listen(io, "/nowhere/at/all/s", 0660, {});
  REQUIRE_FALSE(nowhere);
  CHECK_THAT(nowhere.error().message, Contains("/nowhere/at/all/s") && Contains("No such file"));
}

TEST_CASE("connections that are open when the server ends are closed") {
  const TempDir dir;
  auto running = std::make_unique<Running>(dir / "s");
  const RawClient client(dir / "s");
  client.say("GET / HTTP/1.1\r\n\r\n");
  client.hear_until(" 0.");
  running.reset();
  CHECK(client.hear_all().empty());
  CHECK_FALSE(RawClient(dir / "s").connected());
}
