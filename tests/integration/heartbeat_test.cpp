#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/rfc3339.h"
#include "support/broker.h"

using namespace gyle;
using namespace gyle::test;
using namespace std::chrono_literals;

namespace {

struct Heard {
  bool retained;
  int qos;
  nlohmann::json beat;
  std::string state() const { return beat.at("state"); }
};

// Another system that watches the daemon's heartbeat.
class Bystander {
 public:
  explicit Bystander(const Broker& broker, std::vector<std::string> more = {}) {
    std::vector<std::string> command{
        "mosquitto_sub",      "-h", "127.0.0.1", "-p", std::to_string(broker.port()), "-q", "1", "-t",
        "gylekeeper/watcher", "-F", "%r %q %p"};
    command.insert(command.end(), more.begin(), more.end());
    process_ = std::make_unique<Process>(command, dir_ / "heard");
  }

  std::vector<Heard> heard() const {
    std::vector<Heard> all;
    std::ifstream in(dir_ / "heard");
    for (std::string line; std::getline(in, line) && !in.eof();) {
      std::istringstream words(line);
      Heard one{};
      std::string payload;
      words >> one.retained >> one.qos&& std::getline(words, payload);
      one.beat = nlohmann::json::parse(payload);
      all.push_back(one);
    }
    return all;
  }
  std::string last() const { return heard().empty() ? "" : heard().back().state(); }
  std::size_t count(const std::string& state) const {
    std::size_t n = 0;
    for (const Heard& one : heard()) n += one.state() == state ? 1 : 0;
    return n;
  }

 private:
  TempDir dir_;
  std::unique_ptr<Process> process_;
};

// The retained heartbeat, as a new subscriber gets it.
std::vector<Heard> kept_by(const Broker& broker) {
  const Bystander late(broker, {"--retained-only"});
  eventually([&] { return !late.heard().empty(); }, 2s);
  return late.heard();
}

struct Sender {
  explicit Sender(const std::string& url, int version, int keep_alive_s = 30, int beat_ms = 3'600'000)
      : process({HEARTBEAT_SENDER, url, "watcher", std::to_string(version), std::to_string(keep_alive_s),
                 std::to_string(beat_ms)},
                "/dev/null") {}
  Process process;
};

// Broker that lets nobody publish on the heartbeat's topic, but everything else.
std::string only_alerts(const TempDir& dir) {
  std::ofstream(dir / "acl") << "topic readwrite gylekeeper/alert/#\ntopic read gylekeeper/watcher\n"
                             << std::flush;
  return "allow_anonymous true\nacl_file " + (dir / "acl").string() + "\n";
}

}  // namespace

TEST_CASE("a daemon reports that it is alive, at once and again in every period") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  const Bystander bystander(broker);
  const Sender sender(broker.url(), version, 30, 200);
  REQUIRE(eventually([&] { return bystander.count("alive") >= 6; }));
  const auto heard = bystander.heard();
  for (const Heard& one : heard) {
    CHECK(one.qos == 1);
    CHECK(one.beat.at("version") == GYLE_VERSION);
  }
  const Time first = parse_rfc3339(heard[1].beat.at("time").get<std::string>()).value();
  const Time last = parse_rfc3339(heard[5].beat.at("time").get<std::string>()).value();
  CHECK(last - first >= 700ms);
  CHECK(last - first < 3s);
  const auto kept = kept_by(broker);
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].retained);
  CHECK(kept[0].state() == "alive");
}

TEST_CASE("a daemon that is stopped reports so, and is not taken for dead") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  const Bystander bystander(broker);
  Sender sender(broker.url(), version);
  REQUIRE(eventually([&] { return bystander.last() == "alive"; }));
  sender.process.send(SIGTERM);
  REQUIRE(sender.process.wait() == 0);
  REQUIRE(eventually([&] { return bystander.last() == "stopped"; }));
  std::this_thread::sleep_for(500ms);
  CHECK(bystander.count("gone") == 0);
  CHECK(bystander.heard().back().beat.contains("time"));
  CHECK(kept_by(broker).at(0).state() == "stopped");
}

TEST_CASE("a killed daemon is gone until it comes back") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  const Bystander bystander(broker);
  {
    Sender sender(broker.url(), version);
    REQUIRE(eventually([&] { return bystander.last() == "alive"; }));
    sender.process.send(SIGKILL);
    REQUIRE(sender.process.wait() == -SIGKILL);
  }
  REQUIRE(eventually([&] { return bystander.last() == "gone"; }, 2s));
  CHECK(bystander.heard().back().beat.size() == 1);
  CHECK(kept_by(broker).at(0).state() == "gone");
  const Sender again(broker.url(), version);
  CHECK(eventually([&] { return bystander.last() == "alive"; }));
  CHECK(kept_by(broker).at(0).state() == "alive");
}

TEST_CASE("a daemon that hangs with its connection is gone after three quarters of the keep-alive") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  const Bystander bystander(broker);
  Sender sender(broker.url(), version, 4, 200);
  REQUIRE(eventually([&] { return bystander.count("alive") >= 3; }));
  sender.process.send(SIGSTOP);
  const auto stopped = std::chrono::steady_clock::now();
  REQUIRE(eventually([&] { return bystander.last() == "gone"; }, 10s));
  const auto after = std::chrono::steady_clock::now() - stopped;
  CHECK(after > 2s);       // MQTT 5.0 and 3.1.1, 3.1.2.10: 1.5 times what the broker is asked for;
  CHECK(after < 3s + 5s);  // this broker looks every few seconds whether there are such
  sender.process.send(SIGCONT);
  CHECK(eventually([&] { return bystander.last() == "alive"; }));
}

TEST_CASE("a daemon that hangs while its connection lives sends no more heartbeats") {
  Broker broker;
  broker.start();
  const Bystander bystander(broker);
  Sender sender(broker.url(), 5, 2, 200);
  REQUIRE(eventually([&] { return bystander.count("alive") >= 3; }));
  sender.process.send(SIGUSR1);
  std::this_thread::sleep_for(500ms);
  const std::size_t before = bystander.heard().size();
  std::this_thread::sleep_for(5s);  // the connection is kept alive meanwhile
  CHECK(bystander.heard().size() == before);
}

TEST_CASE("after the broker was away, the daemon is alive again") {
  const int version = GENERATE(5, 3);
  const bool forgets = GENERATE(false, true);
  CAPTURE(version, forgets);
  Broker broker;
  broker.start();
  const Sender sender(broker.url(), version);
  REQUIRE(eventually([&] { return !kept_by(broker).empty(); }));
  broker.kill();
  if (forgets) broker.forget();
  broker.start();
  const Bystander bystander(broker);
  CHECK(
      eventually([&] { return bystander.count("alive") > 0 && bystander.heard().back().retained == false; }));
  CHECK(bystander.last() == "alive");
}

TEST_CASE("a daemon that takes over from a frozen one is reported alive") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  const Bystander bystander(broker);
  Sender frozen(broker.url(), version);
  REQUIRE(eventually([&] { return bystander.count("alive") == 1; }));
  frozen.process.send(SIGSTOP);
  const Sender heir(broker.url(), version);
  REQUIRE(eventually([&] { return bystander.count("alive") == 2; }));
  std::this_thread::sleep_for(500ms);
  CHECK(bystander.last() == "alive");
  CHECK(kept_by(broker).at(0).state() == "alive");
}

TEST_CASE("a broker without QoS 1 gets heartbeat and last will at QoS 0") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker("allow_anonymous true\nmax_qos 0\n");
  broker.start();
  const Bystander bystander(broker);
  Sender sender(broker.url(), version, 30, 200);
  CHECK(eventually([&] { return bystander.count("alive") >= 5; }));
  sender.process.send(SIGKILL);
  CHECK(eventually([&] { return bystander.last() == "gone"; }));
}

TEST_CASE("a broker that permits no heartbeat is used all the same") {
  const TempDir dir;
  Broker broker(only_alerts(dir));
  broker.start();
  const TempDir out;
  Process sender({HEARTBEAT_SENDER, broker.url(), "watcher", "5", "30", "100"}, out / "said");
  const auto said = [&] {
    std::ifstream in(out / "said");
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  CHECK(eventually([&] { return said().find("connected to the broker") != std::string::npos; }, 5s));
  CHECK(eventually(
      [&] { return said().find("nobody can see whether the watcher is alive") != std::string::npos; }, 5s));
  std::this_thread::sleep_for(500ms);
  CAPTURE(said());
  CHECK(said().find("nobody can see") == said().rfind("nobody can see"));
}
