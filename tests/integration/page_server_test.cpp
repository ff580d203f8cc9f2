// The page and the API through the network, as the daemon serves them.
#include <curl/curl.h>
#include <sys/stat.h>

#include <cctype>
#include <map>
#include <thread>

#include "integration/watched_cellar.h"
#include "support/raw_client.h"

using namespace gyle::test;
using namespace std::chrono_literals;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

const std::string kToken = "0123456789abcdef0123456789abcdef";

struct Answer {
  long status = 0;
  std::map<std::string, std::string> fields;  // names in lower case
  std::string body;                           // as sent unless curl unpacks it
};

// One request by libcurl; a trouble below HTTP is status 0.
struct Ask {
  std::string url;
  std::string method = "GET";
  std::vector<std::string> fields = {};
  std::string body = {};
  std::string trusted = {};  // a certificate

  Answer get() const {
    Answer answer;
    CURL* const curl = curl_easy_init();
    curl_slist* list = nullptr;
    for (const std::string& field : fields) list = curl_slist_append(list, field.c_str());
    curl_easy_setopt(curl, CURLOPT_URL, url.c_str());
    curl_easy_setopt(curl, CURLOPT_CUSTOMREQUEST, method.c_str());
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, list);
    curl_easy_setopt(curl, CURLOPT_TIMEOUT, 20L);
    curl_easy_setopt(curl, CURLOPT_NOPROXY, "*");
    if (method != "GET") curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body.c_str());
    if (!trusted.empty()) curl_easy_setopt(curl, CURLOPT_CAINFO, trusted.c_str());
    curl_easy_setopt(curl, CURLOPT_WRITEDATA, &answer.body);
    curl_easy_setopt(
        curl, CURLOPT_WRITEFUNCTION, +[](char* bytes, size_t, size_t count, void* into) {
          static_cast<std::string*>(into)->append(bytes, count);
          return count;
        });
    curl_easy_setopt(curl, CURLOPT_HEADERDATA, &answer.fields);
    curl_easy_setopt(
        curl, CURLOPT_HEADERFUNCTION, +[](char* bytes, size_t, size_t count, void* into) {
          const std::string line(bytes, count);
          const std::size_t colon = line.find(": ");
          if (colon == std::string::npos) return count;
          std::string name = line.substr(0, colon);
          std::transform(name.begin(), name.end(), name.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
          (*static_cast<std::map<std::string, std::string>*>(into))[name] =
              line.substr(colon + 2, line.size() - colon - 4);
          return count;
        });
    if (curl_easy_perform(curl) == CURLE_OK) curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &answer.status);
    curl_slist_free_all(list);
    curl_easy_cleanup(curl);
    return answer;
  }
};

struct PageCellar : WatchedCellar {
  explicit PageCellar(bool with_token = true, bool with_tls = false) : port(free_port()) {
    page = "listen = \"127.0.0.1:" + std::to_string(port) + "\"\nhosts = [\"cellar.local\"]\n";
    if (with_token) {
      std::ofstream(dir / "token") << kToken << "\n";
      page += "token_file = \"" + (dir / "token").string() + "\"\n";
    }
    if (with_tls) {
      Process openssl(
          {"openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
           "-days", "2", "-subj", "/CN=localhost", "-addext", "subjectAltName=IP:127.0.0.1", "-keyout",
           (dir / "key.pem").string(), "-out", certificate()},
          dir / "openssl.log");
      REQUIRE(openssl.wait() == 0);
      page += "certificate = \"" + certificate() + "\"\nkey = \"" + (dir / "key.pem").string() + "\"\n";
    }
    configure();
  }
  std::string certificate() const { return (dir / "certificate.pem").string(); }
  std::string at(const std::string& path, const char* scheme = "http") const {
    return std::string(scheme) + "://127.0.0.1:" + std::to_string(port) + path;
  }
  void start_page() {
    start();
    REQUIRE(eventually([this] { return answers(); }));
  }

  int port;
};

// A client of the broker that publishes each line at once.
class Publisher {
 public:
  Publisher(const Broker& broker, const std::string& topic) {
    REQUIRE(mkfifo((dir_ / "lines").c_str(), 0600) == 0);
    process_ = std::make_unique<Process>(
        std::vector<std::string>{"mosquitto_pub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()),
                                 "-q", "1", "-t", topic, "-l"},
        dir_ / "log", dir_ / "lines");
    lines_.open(dir_ / "lines");
  }
  void say(const std::string& line) { lines_ << line << std::endl; }

 private:
  TempDir dir_;
  std::unique_ptr<Process> process_;
  std::ofstream lines_;
};

// Milliseconds from the publishing of a reading until the judgement has it, of each of `count` readings.
std::vector<double> latencies(const PageCellar& cellar, int count, double first) {
  std::vector<double> all;
  const RawClient client(cellar.port);
  Publisher publisher(cellar.broker, "probes/probe/celsius");
  for (int i = 0; i < count; ++i) {
    char value[16];
    std::snprintf(value, sizeof value, "%.2f", first + 0.01 + i * 0.02);  // the last digit is never 0
    const auto begin = std::chrono::steady_clock::now();
    publisher.say(value);
    const bool seen = eventually(
        [&] {
          client.say("GET /v1/sensors HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
          const std::string head = client.hear_until("\r\n\r\n");
          const std::size_t at = head.find("Content-Length: ");
          if (at == std::string::npos) return false;
          return client.hear_until("\n").find(std::string(value)) != std::string::npos;
        },
        5s);
    REQUIRE(seen);
    all.push_back(
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count());
  }
  std::sort(all.begin(), all.end());
  return all;
}

}  // namespace

TEST_CASE("the page is served compressed, and not sent again while it is unchanged") {
  PageCellar cellar;
  cellar.start_page();
  CHECK_THAT(content(cellar.log()), Contains("the page is at " + cellar.at("/")));
  const Answer packed = Ask{cellar.at("/"), "GET", {"Accept-Encoding: gzip"}}.get();
  CHECK(packed.status == 200);
  CHECK(packed.fields.at("content-encoding") == "gzip");
  CHECK(packed.fields.at("content-type") == "text/html; charset=utf-8");
  CHECK_THAT(packed.fields.at("content-security-policy"), StartsWith("default-src 'self'"));
  const Answer plain = Ask{cellar.at("/")}.get();
  CHECK_THAT(plain.body, StartsWith("<!doctype html>"));
  CHECK(plain.fields.at("etag") != packed.fields.at("etag"));
  for (const Answer* had : {&packed, &plain}) {
    std::vector<std::string> fields{"If-None-Match: " + had->fields.at("etag")};
    if (had == &packed) fields.push_back("Accept-Encoding: gzip");
    const Answer again = Ask{cellar.at("/"), "GET", fields}.get();
    CHECK(again.status == 304);
    CHECK(again.body.empty());
  }
  const Answer status = Ask{cellar.at("/v1/status")}.get();
  CHECK(status.status == 200);
  CHECK(Ask{cellar.at("/v1/openapi.json"), "GET", {"Accept-Encoding: gzip"}}.get().fields.at(
            "content-encoding") == "gzip");
}

TEST_CASE("an action needs the token; guessing is slowed down; a session may act until it ends") {
  PageCellar cellar;
  cellar.start_page();
  const std::string act = cellar.at("/v1/alerts/999/acknowledge");
  const std::vector<std::string> json{"Content-Type: application/json"};
  CHECK(Ask{act, "POST", {"X-Gylekeeper: 1"}}.get().status == 401);
  CHECK(Ask{act, "POST", {"Authorization: Bearer " + kToken}}.get().status == 404);

  const Answer opened = Ask{cellar.at("/session"), "POST", json, "{\"token\":\"" + kToken + "\"}"}.get();
  CHECK(opened.status == 201);
  const std::string set = opened.fields.at("set-cookie");
  const std::string cookie = "Cookie: " + set.substr(0, set.find(';'));
  CHECK(cookie.size() == std::string("Cookie: gylekeeper=").size() + 64);
  CHECK(Ask{act, "POST", {cookie, "X-Gylekeeper: 1"}}.get().status == 404);
  CHECK(Ask{act, "POST", {cookie, "X-Gylekeeper: 1", "Origin: http://evil.example"}}.get().status == 403);
  CHECK(Ask{act, "POST", {cookie, "Content-Type: text/plain"}}.get().status == 403);

  for (int i = 0; i < 5; ++i) {
    CHECK(Ask{cellar.at("/session"), "POST", json, "{\"token\":\"guess\"}"}.get().status == 401);
  }
  CHECK(Ask{cellar.at("/session"), "POST", json, "{\"token\":\"guess\"}"}.get().status == 429);
  CHECK(Ask{cellar.at("/session"), "POST", json, "{\"token\":\"" + kToken + "\"}"}.get().status == 201);
  CHECK(Ask{act, "POST", {cookie, "X-Gylekeeper: 1"}}.get().status == 404);

  CHECK(Ask{cellar.at("/session"), "DELETE", {cookie, "X-Gylekeeper: 1"}}.get().status == 200);
  CHECK(Ask{act, "POST", {cookie, "X-Gylekeeper: 1"}}.get().status == 401);
}

TEST_CASE("without a token the page is read-only and says how to allow actions") {
  PageCellar cellar(false);
  cellar.start_page();
  CHECK(Ask{cellar.at("/v1/status")}.get().status == 200);
  const Answer refused = Ask{cellar.at("/v1/alerts/1/acknowledge"), "POST", {"X-Gylekeeper: 1"}}.get();
  CHECK(refused.status == 403);
  CHECK_THAT(refused.body, Contains("token_file"));
}

TEST_CASE("a request for a foreign host name is refused") {
  PageCellar cellar;
  cellar.start_page();
  for (const char* path : {"/", "/v1/status", "/v1/events", "/metrics"}) {
    CHECK(Ask{cellar.at(path), "GET", {"Host: rebound.example:8480"}}.get().status == 421);
  }
  CHECK(Ask{cellar.at("/"), "GET", {"Host: cellar.local"}}.get().status == 200);
  // The name of a proxy, with anybody behind it.
  CHECK(Ask{cellar.at("/v1/status"), "GET", {"Host: cellar.local"}}.get().status == 401);
}

TEST_CASE("TLS changes no answer, and plain HTTP gets none") {
  PageCellar cellar(true, true);
  cellar.start_page();
  CHECK_THAT(content(cellar.log()), Contains("the page is at https://127.0.0.1"));
  const Answer answer = Ask{cellar.at("/v1/status", "https"), "GET", {}, "", cellar.certificate()}.get();
  CHECK(answer.status == 200);
  CHECK(nlohmann::json::parse(answer.body).is_object());
  const Answer opened = Ask{cellar.at("/session", "https"),
                            "POST",
                            {"Content-Type: application/json"},
                            "{\"token\":\"" + kToken + "\"}",
                            cellar.certificate()}
                            .get();
  CHECK_THAT(opened.fields.at("set-cookie"), Contains("; Secure"));
  CHECK(Ask{cellar.at("/v1/status", "https")}.get().status == 0);  // the certificate is not trusted
  const RawClient plain(cellar.port);
  plain.say("GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
  CHECK_THAT(plain.hear_all(), !Contains("HTTP/1.1 200"));
  CHECK(Ask{cellar.at("/", "https"), "GET", {}, "", cellar.certificate()}.get().status == 200);

  // An event stream, too: it runs until curl stops.
  Process stream(
      {"curl", "-sN", "--noproxy", "*", "--cacert", cellar.certificate(), cellar.at("/v1/events", "https")},
      cellar.dir / "stream");
  CHECK(eventually([&] { return content(cellar.dir / "stream").find("retry: ") != std::string::npos; }));
}

TEST_CASE("a page that cannot be served is reported with its setting, and the watch goes on") {
  static const TempDir files;  // the rows are made once
  static const int taken = free_port();
  struct Row {
    const char* name;
    std::string lines;
    const char* setting;
  };
  const std::string place = "listen = \"127.0.0.1:" + std::to_string(taken) + "\"\n";
  std::ofstream(files / "short") << "secret\n";
  const auto row = GENERATE_REF(values<Row>({
      {"taken", place, "listen in [page]"},
      {"no secret", place + "token_file = \"/nowhere/token\"\n", "token_file in [page]"},
      {"a short secret", place + "token_file = \"" + (files / "short").string() + "\"\n",
       "token_file in [page]"},
      {"no certificate", place + "certificate = \"/nowhere/c\"\nkey = \"/nowhere/k\"\n",
       "certificate in [page]"},
      {"no such certificate",
       place + "certificate = \"" + (files / "short").string() + "\"\nkey = \"" + (files / "short").string() +
           "\"\n",
       "certificate, key in [page]"},
  }));
  CAPTURE(row.name);
  PageCellar cellar;
  cellar.page = row.lines;
  cellar.configure();
  const int squatter = socket(AF_INET, SOCK_STREAM, 0);
  if (row.lines == place) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(taken));
    REQUIRE(bind(squatter, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
    REQUIRE(::listen(squatter, 1) == 0);
  }
  cellar.broker.start();
  cellar.start_and_connect();
  CHECK_THAT(content(cellar.log()), Contains("there is no page: ") && Contains(row.setting));
  cellar.broker.publish("probes/probe/celsius", {"18.5"});
  CHECK(eventually([&] { return cellar.kept() == 1; }));
  close(squatter);
}

TEST_CASE("a reading is an event for open pages, at most one a second") {
  PageCellar cellar;
  cellar.broker.start();
  cellar.start_and_connect();
  const RawClient client(cellar.port);
  client.say("GET /v1/events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
  client.hear_until("retry: 2000\n\n");
  const auto begin = std::chrono::steady_clock::now();
  Publisher publisher(cellar.broker, "probes/probe/celsius");
  std::thread publishing([&publisher] {
    for (int i = 0; i < 50; ++i) {
      publisher.say(std::to_string(18 + i * 0.01));
      std::this_thread::sleep_for(40ms);
    }
  });
  int events = 0;
  do {
    const std::string event = client.hear_until("\n\n");
    CHECK_THAT(event, StartsWith("event: changed\ndata: {\"time\":") && Contains(",\"batches\":["));
    ++events;
  } while (events < 2);
  CHECK(std::chrono::steady_clock::now() - begin > 900ms);
  publishing.join();
}

TEST_CASE("two hundred idle clients, slow readers and noise do not hold up a reading") {
  PageCellar cellar;
  cellar.broker.start();
  cellar.start_and_connect();
  const std::vector<double> alone = latencies(cellar, 52, 10.0);

  std::vector<RawClient> clients;
  for (int i = 0; i < 200; ++i) clients.emplace_back(cellar.port, i % 4 == 0 ? 4096 : 0);
  for (std::size_t i = 0; i < clients.size(); ++i) {
    if (i % 4 == 0) clients[i].say("GET /v1/events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");  // and never reads
    if (i % 4 == 1) clients[i].say("GET /v1/st");
    // Answers that nobody takes.
    for (int n = 0; i % 40 == 2 && n < 200; ++n) {
      clients[i].say("GET /v1/openapi.json HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
    }
  }
  for (const char* noise :
       {"\x16\x03\x01\x02", "GET\r\n\r\n", "POST / HTTP/1.1\r\nContent-Length: 99999999\r\n\r\n"}) {
    const RawClient bad(cellar.port);
    bad.say(noise);
  }
  const std::vector<double> among = latencies(cellar, 52, 14.0);
  WARN("milliseconds from publishing to judgement, median and worst: alone "
       << alone[25] << ", " << alone[50] << "; among 200 " << among[25] << ", " << among[50]);
  CHECK(among[25] < alone[25] + 100);
  CHECK(among[50] < 2000);
}
