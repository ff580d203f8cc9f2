#include "mqtt/link.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <catch2/catch.hpp>
#include <condition_variable>
#include <fstream>
#include <mutex>
#include <stdexcept>
#include <thread>

#include "support/broker.h"
#include "support/manual_clock.h"

using namespace gyle;
using namespace gyle::test;
using namespace std::chrono_literals;

namespace {

// A link and what it has reported. Objects that a held message's thread still uses must outlive the link: see
// stop().
struct Listener {
  struct Seen {
    std::mutex mutex;
    std::vector<Message> messages;
    std::vector<LinkEvent> events;
    std::function<Status(const Message&, std::stop_token)> keep = [](const Message&, std::stop_token) {
      return success();
    };
  };

  explicit Listener(const Broker& broker, std::vector<std::string> filters = {"cellar/#"}, int version = 5,
                    const std::function<void(MqttSettings&)>& change = {}, std::string password = "",
                    std::vector<std::string> former_filters = {})
      : seen(std::make_shared<Seen>()) {
    MqttSettings settings;
    settings.broker = broker.url();
    settings.client_id = "listener";
    settings.version = version;
    if (change) change(settings);
    link = std::make_unique<MqttLink>(
        settings, password, std::move(filters),
        LinkHandlers{[s = seen](const Message& message, std::stop_token stop) -> Status {
                       BOOST_OUTCOME_TRYV(s->keep(message, stop));
                       const std::lock_guard lock(s->mutex);
                       s->messages.push_back(message);
                       return success();
                     },
                     [s = seen](const LinkEvent& event) {
                       const std::lock_guard lock(s->mutex);
                       s->events.push_back(event);
                     }},
        clock, std::move(former_filters));
  }

  std::vector<Message> messages() const {
    const std::lock_guard lock(seen->mutex);
    return seen->messages;
  }
  std::vector<LinkEvent> events(LinkEvent::Kind kind) const {
    const std::lock_guard lock(seen->mutex);
    std::vector<LinkEvent> some;
    std::copy_if(seen->events.begin(), seen->events.end(), std::back_inserter(some),
                 [kind](const LinkEvent& event) { return event.kind == kind; });
    return some;
  }
  bool connected(std::size_t times = 1) const {
    return eventually([&] { return events(LinkEvent::Kind::connected).size() >= times; });
  }
  bool received(std::size_t count) const {
    return eventually([&] { return messages().size() >= count; });
  }
  std::vector<std::string> payloads() const {
    std::vector<std::string> all;
    for (const Message& message : messages()) all.push_back(message.payload);
    return all;
  }

  static inline ManualClock clock{Time(seconds(1'772'000'000))};
  std::shared_ptr<Seen> seen;
  std::unique_ptr<MqttLink> link;
};

// Connected and known to be subscribed, as a message comes through.
void settle(const Listener& listener, const Broker& broker) {
  REQUIRE(listener.connected());
  REQUIRE(eventually([&] { return broker.log().find("Sending SUBACK to listener") != std::string::npos; }));
}

// Options of a broker that knows one user, "brewer" with the password "dry hop".
std::string only_the_brewer(const TempDir& dir) {
  // mosquitto_passwd's own plain form, hashed in place by it
  std::ofstream(dir / "passwords") << "brewer:dry hop\n" << std::flush;
  Process hash({"mosquitto_passwd", "-U", (dir / "passwords").string()});
  REQUIRE(hash.wait() == 0);
  return "allow_anonymous false\npassword_file " + (dir / "passwords").string() + "\n";
}

// Makes NAME.pem and NAME.key: an authority of its own, or vouched for by `authority`.
void certificate(const TempDir& dir, const std::string& name, const std::string& authority = "",
                 const std::string& host = "") {
  std::vector<std::string> command{"openssl",
                                   "req",
                                   "-x509",
                                   "-newkey",
                                   "ec",
                                   "-pkeyopt",
                                   "ec_paramgen_curve:prime256v1",
                                   "-nodes",
                                   "-days",
                                   "1",
                                   "-subj",
                                   "/CN=" + name,
                                   "-keyout",
                                   (dir / (name + ".key")).string(),
                                   "-out",
                                   (dir / (name + ".pem")).string()};
  if (!authority.empty()) {
    for (const std::string& more :
         {std::string("-CA"), (dir / (authority + ".pem")).string(), std::string("-CAkey"),
          (dir / (authority + ".key")).string(), std::string("-addext"), "subjectAltName=" + host,
          std::string("-addext"), std::string("basicConstraints=critical,CA:FALSE")}) {
      command.push_back(more);
    }
  }
  Process make(command, dir / "openssl.log");
  REQUIRE(make.wait() == 0);
}

// Whether the library's threads have ended, which is some time after its last client. OpenSSL gives back what it
// keeps for a thread when that ends: a process that ends earlier seems to leak it (904 bytes, LeakSanitizer says
// on a busy machine).
bool library_has_ended() {
  for (const auto& task : std::filesystem::directory_iterator("/proc/self/task")) {
    std::string name;
    std::getline(std::ifstream(task.path() / "comm"), name);
    if (name.starts_with("MQTTAsync")) return false;
  }
  return true;
}

// Answers a CONNECT as the test says, by the protocol level that it asks for (4 is MQTT 3.1.1), and takes
// everything else in silence.
class PretendedBroker {
 public:
  struct Answer {
    std::string bytes;
    bool and_close = false;
  };

  explicit PretendedBroker(std::function<Answer(int level)> answer)
      : answer_(std::move(answer)), listening_(socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    auto* const plain = reinterpret_cast<sockaddr*>(&address);
    REQUIRE(bind(listening_, plain, size) == 0);
    REQUIRE(listen(listening_, 5) == 0);
    REQUIRE(getsockname(listening_, plain, &size) == 0);
    port_ = ntohs(address.sin_port);
    serving_ = std::thread([this] { serve(); });
  }
  ~PretendedBroker() {
    shutdown(listening_, SHUT_RDWR);
    serving_.join();
    for (const int fd : connections_) close(fd);
    close(listening_);
  }
  std::string url() const { return "mqtt://127.0.0.1:" + std::to_string(port_); }
  std::vector<int> levels() const {  // those that were asked for
    const std::lock_guard lock(mutex_);
    return levels_;
  }

 private:
  void serve() {
    for (int fd = 0; (fd = accept(listening_, nullptr, nullptr)) >= 0;) {
      connections_.push_back(fd);
      std::array<unsigned char, 256> packet{};
      // Two bytes of header when the packet is short, the name of six bytes, the level.
      if (recv(fd, packet.data(), packet.size(), 0) < 9) continue;
      const int level = packet[8];
      {
        const std::lock_guard lock(mutex_);
        levels_.push_back(level);
      }
      const Answer answer = answer_(level);
      send(fd, answer.bytes.data(), answer.bytes.size(), MSG_NOSIGNAL);
      if (answer.and_close) shutdown(fd, SHUT_RDWR);
    }
  }

  const std::function<Answer(int level)> answer_;
  int listening_;
  int port_ = 0;
  std::vector<int> connections_;
  mutable std::mutex mutex_;
  std::vector<int> levels_;
  std::thread serving_;
};

}  // namespace

TEST_CASE("messages come with everything known about them") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  Listener listener(broker, {"cellar/#"}, version);
  REQUIRE(listener.link->start());
  settle(listener, broker);
  CHECK_FALSE(listener.events(LinkEvent::Kind::connected).at(0).session_present);
  broker.publish("cellar/probe", {"18.5", "18.5"});
  broker.publish("attic/probe", {"30"});
  REQUIRE(listener.received(2));
  const auto messages = listener.messages();
  CHECK(messages[0].topic == "cellar/probe");
  CHECK(messages[0].payload == "18.5");
  CHECK(messages[0].received == Listener::clock.now());
  CHECK(messages[0].packet_id != 0);
  CHECK(messages[1].packet_id != messages[0].packet_id);
  for (const Message& message : messages) {
    CHECK_FALSE(message.retained);
    CHECK_FALSE(message.duplicate);
    CHECK_FALSE(message.backlog);
  }
  CHECK(listener.link->stop());
  CHECK(listener.messages().size() == 2);
}

TEST_CASE("messages that came while the link was away are delivered afterwards, as a backlog") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  {
    Listener listener(broker, {"cellar/#"}, version);
    REQUIRE(listener.link->start());
    settle(listener, broker);
    REQUIRE(listener.link->stop());
  }
  std::vector<std::string> expected;
  for (int i = 0; i < 1500; ++i) expected.push_back(std::to_string(i));  // more than brokers keep by default
  broker.publish("cellar/probe", expected);
  Listener listener(broker, {"cellar/#"}, version);
  REQUIRE(listener.link->start());
  REQUIRE(listener.received(1500));
  CHECK(listener.events(LinkEvent::Kind::connected).at(0).session_present);
  CHECK(listener.payloads() == expected);
  const auto messages = listener.messages();
  CHECK(std::all_of(messages.begin(), messages.end(), [](const Message& m) { return m.backlog; }));
}

TEST_CASE("a broker that is absent at first is reported once, and found") {
  Broker broker;
  Listener listener(broker);
  REQUIRE(listener.link->start());
  REQUIRE(eventually([&] { return listener.events(LinkEvent::Kind::refused).size() == 1; }));
  std::this_thread::sleep_for(2500ms);  // some attempts; there is no condition for what must not happen
  CHECK(listener.events(LinkEvent::Kind::refused).size() == 1);
  CHECK_THAT(listener.events(LinkEvent::Kind::refused)[0].text, Catch::Contains(broker.url()));
  broker.start();
  settle(listener, broker);
  broker.publish("cellar/probe", {"1"});
  CHECK(listener.received(1));
}

TEST_CASE("a broker whose name nobody knows is reported as that") {
  Broker broker;  // never started
  // Never to be resolved: RFC 6761 section 6.4.
  Listener listener(broker, {"cellar/#"}, 5,
                    [](MqttSettings& settings) { settings.broker = "mqtt://broker.invalid:1883"; });
  REQUIRE(listener.link->start());
  REQUIRE(eventually([&] { return !listener.events(LinkEvent::Kind::refused).empty(); }, 30s));
  CHECK_THAT(listener.events(LinkEvent::Kind::refused)[0].text,
             Catch::Contains("the name \"broker.invalid\" is unknown"));
  CHECK(listener.link->stop());
}

TEST_CASE("a broker's name is looked up before it connects") {
  Broker broker;
  broker.start();
  Listener listener(broker, {"cellar/#"}, 5, [&](MqttSettings& settings) {
    settings.broker = "mqtt://localhost:" + std::to_string(broker.port());
  });
  REQUIRE(listener.link->start());
  settle(listener, broker);
  CHECK(listener.events(LinkEvent::Kind::refused).empty());
}

TEST_CASE("a broker that knows MQTT 3.1.1 only is spoken to in that") {
  // MQTT 3.1.1 section 3.1.2.2: a CONNACK with the code 1, then the end.
  const PretendedBroker broker([](int level) {
    using namespace std::string_literals;
    return level == 4 ? PretendedBroker::Answer{"\x20\x02\x00\x00"s}
                      : PretendedBroker::Answer{"\x20\x02\x00\x01"s, true};
  });
  const Broker none;
  Listener listener(none, {"cellar/#"}, 5, [&](MqttSettings& settings) { settings.broker = broker.url(); });
  REQUIRE(listener.link->start());
  REQUIRE(listener.connected());
  CHECK(broker.levels() == std::vector<int>{5, 4});
  REQUIRE(listener.events(LinkEvent::Kind::degraded).size() == 1);
  CHECK_THAT(listener.events(LinkEvent::Kind::degraded)[0].text, Catch::Contains("does not speak MQTT 5"));
  CHECK(listener.events(LinkEvent::Kind::refused).empty());
  CHECK(listener.link->stop());
}

TEST_CASE("a broker that comes back without its memory is subscribed to again") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  Listener listener(broker, {"cellar/#"}, version);
  REQUIRE(listener.link->start());
  settle(listener, broker);
  broker.kill();
  REQUIRE(eventually([&] { return listener.events(LinkEvent::Kind::lost).size() == 1; }));
  broker.forget();
  std::filesystem::remove(broker.folder() / "broker.log");
  broker.start();
  REQUIRE(listener.connected(2));
  CHECK_FALSE(listener.events(LinkEvent::Kind::connected).at(1).session_present);
  settle(listener, broker);
  broker.publish("cellar/probe", {"1"});
  CHECK(listener.received(1));
}

TEST_CASE("retained messages are marked, and come again with a new subscription only") {
  Broker broker;
  broker.start();
  broker.publish("cellar/probe", {"17.0"}, {"-r"});
  for (int round = 0; round < 2; ++round) {
    Listener listener(broker);
    REQUIRE(listener.link->start());
    settle(listener, broker);
    broker.publish("cellar/probe", {"18.0"}, {"-r"});  // live, though it is to be retained
    const std::size_t expected = round == 0 ? 2 : 1;
    REQUIRE(listener.received(expected));
    REQUIRE(listener.link->stop());
    const auto messages = listener.messages();
    REQUIRE(messages.size() == expected);
    if (round == 0) {
      CHECK(messages[0].retained);
      CHECK(messages[0].payload == "17.0");
    }
    CHECK_FALSE(messages.back().retained);
    std::filesystem::remove(broker.folder() / "broker.log");
    broker.stop();
    broker.start();
  }
}

TEST_CASE("a message that is too large is withheld by the broker, or only its head is kept") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  Listener listener(broker, {"cellar/#"}, version);
  REQUIRE(listener.link->start());
  settle(listener, broker);
  const auto publish_bytes = [&broker](std::size_t size) {
    const TempDir dir;
    std::ofstream(dir / "payload") << std::string(size, 'x');
    Process publisher({"mosquitto_pub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()), "-q", "1",
                       "-t", "cellar/probe", "-f", (dir / "payload").string()});
    REQUIRE(publisher.wait() == 0);
  };
  publish_bytes(64 * 1024);
  publish_bytes(64 * 1024 + 1);  // delivered, for the decoder to refuse
  publish_bytes(20'000'000);
  broker.publish("cellar/probe", {"after"});
  const std::size_t expected = version == 5 ? 3 : 4;  // MQTT 3.1.1 has no way to ask for a limit
  REQUIRE(listener.received(expected));
  const auto messages = listener.messages();
  REQUIRE(messages.size() == expected);
  CHECK(messages.back().payload == "after");
  CHECK(messages.back().left_out == 0);
  CHECK(messages[0].payload.size() == 64 * 1024);
  CHECK(messages[0].left_out == 0);
  CHECK(messages[1].payload.size() == 64);
  CHECK(messages[1].left_out == 64 * 1024 + 1 - 64);
  if (version == 3) CHECK(messages[2].payload.size() + messages[2].left_out == 20'000'000);
  if (version == 3) CHECK(messages[2].payload.size() == 64);
}

TEST_CASE("a frozen broker is noticed within the keep-alive, and found soon after it is back") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  Listener listener(broker, {"cellar/#"}, version, [](MqttSettings& settings) { settings.keep_alive = 6s; });
  REQUIRE(listener.link->start());
  settle(listener, broker);
  broker.freeze();
  const auto lost = [&] { return !listener.events(LinkEvent::Kind::lost).empty(); };
  CHECK(eventually(lost, 10s));
  std::this_thread::sleep_for(12s);  // attempts fail meanwhile
  broker.thaw();
  REQUIRE(eventually([&] { return listener.events(LinkEvent::Kind::connected).size() >= 2; }, 15s));
  broker.publish("cellar/probe", {"1"});
  CHECK(listener.received(1));
}

TEST_CASE("a wrong password is reported once, the right one is accepted") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  const TempDir dir;
  Broker broker(only_the_brewer(dir));
  broker.start();
  const auto brewer = [](MqttSettings& settings) { settings.username = "brewer"; };
  {
    Listener listener(broker, {"cellar/#"}, version, brewer, "wet hop");
    REQUIRE(listener.link->start());
    REQUIRE(eventually([&] { return listener.events(LinkEvent::Kind::refused).size() == 1; }));
    CHECK_THAT(listener.events(LinkEvent::Kind::refused)[0].text, Catch::Contains("user name and password"));
    std::this_thread::sleep_for(2500ms);
    CHECK(listener.events(LinkEvent::Kind::refused).size() == 1);
    CHECK(listener.events(LinkEvent::Kind::connected).empty());
  }
  Listener listener(broker, {"cellar/#"}, version, brewer, "dry hop");
  REQUIRE(listener.link->start());
  CHECK(listener.connected());
}

TEST_CASE("over TLS the broker's certificate must have its name and a trusted authority") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  const TempDir dir;
  certificate(dir, "authority");
  certificate(dir, "stranger");
  certificate(dir, "server", "authority", "IP:127.0.0.1");
  Broker broker(only_the_brewer(dir) + "certfile " + (dir / "server.pem").string() + "\nkeyfile " +
                (dir / "server.key").string() + "\n");
  broker.start();
  const auto through_tls = [&](const std::string& host, const std::string& ca) {
    return [&, host, ca](MqttSettings& settings) {
      settings.broker = "mqtts://" + host + ":" + std::to_string(broker.port());
      settings.ca_file = dir / ca;
      settings.username = "brewer";
    };
  };
  const auto refusal = [&](const std::string& host, const std::string& ca,
                           const std::string& password) -> std::string {
    Listener listener(broker, {"cellar/#"}, version, through_tls(host, ca), password);
    REQUIRE(listener.link->start());
    REQUIRE(eventually([&] { return !listener.events(LinkEvent::Kind::refused).empty(); }));
    CHECK(listener.events(LinkEvent::Kind::connected).empty());
    return listener.events(LinkEvent::Kind::refused)[0].text;
  };
  CHECK_THAT(refusal("127.0.0.1", "stranger.pem", "dry hop"),
             Catch::Contains("stranger.pem do not vouch for its certificate"));
  CHECK_THAT(refusal("127.0.0.1", "absent.pem", "dry hop"),
             Catch::Contains("absent.pem is not a readable file"));
  CHECK_THAT(refusal("localhost", "authority.pem", "dry hop"), Catch::Contains("certificate for that name"));
  CHECK_THAT(refusal("127.0.0.1", "authority.pem", "wet hop"), Catch::Contains("user name and password"));

  Listener listener(broker, {"cellar/#"}, version, through_tls("127.0.0.1", "authority.pem"), "dry hop");
  REQUIRE(listener.link->start());
  settle(listener, broker);
  broker.publish("cellar/probe", {"18.5"},
                 {"--cafile", (dir / "authority.pem").string(), "-u", "brewer", "-P", "dry hop"});
  REQUIRE(listener.received(1));
  CHECK(listener.payloads()[0] == "18.5");
  CHECK(listener.events(LinkEvent::Kind::refused).empty());
  CHECK_FALSE(library_has_ended());
  listener.link.reset();
  CHECK(eventually(library_has_ended));
}

TEST_CASE("former filters are unsubscribed, and nothing is lost in the change") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  {
    Listener before(broker, {"cellar/#", "attic/#"}, version);
    REQUIRE(before.link->start());
    settle(before, broker);
    REQUIRE(before.link->stop());
  }
  broker.publish("cellar/probe", {"while away"});
  Listener after(broker, {"cellar/+"}, version, {}, "", {"attic/#", "cellar/#", "cellar/+", "shed/never"});
  REQUIRE(after.link->start());
  REQUIRE(eventually([&] { return broker.log().find("Sending UNSUBACK to listener") != std::string::npos; }));
  broker.publish("attic/probe", {"not asked for"});
  broker.publish("cellar/probe", {"live"});
  REQUIRE(after.received(2));
  CHECK(after.payloads() == std::vector<std::string>{"while away", "live"});
  CHECK(after.events(LinkEvent::Kind::degraded).empty());
}

TEST_CASE("a subscription that is not granted as asked is reported") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  const std::vector<std::string> filters =
      GENERATE(values<std::vector<std::string>>({{"cellar/#"}, {"cellar/#", "attic/#"}}));
  Broker broker("allow_anonymous true\nmax_qos 0\n");
  broker.start();
  Listener listener(broker, filters, version);
  REQUIRE(listener.link->start());
  REQUIRE(eventually([&] { return listener.events(LinkEvent::Kind::degraded).size() == filters.size(); }));
  CHECK_THAT(listener.events(LinkEvent::Kind::degraded)[0].text, Catch::Contains("cellar/#"));
}

TEST_CASE("a broker that ends the connection is believed, and tried again") {
  // MQTT 5 section 3.14: DISCONNECT, server shutting down.
  const PretendedBroker broker([](int) {
    using namespace std::string_literals;
    return PretendedBroker::Answer{"\x20\x03\x00\x00\x00\xe0\x02\x8b\x00"s, true};
  });
  const Broker none;
  Listener listener(none, {}, 5, [&](MqttSettings& settings) { settings.broker = broker.url(); });
  REQUIRE(listener.link->start());
  REQUIRE(eventually([&] { return !listener.events(LinkEvent::Kind::lost).empty(); }));
  CHECK_THAT(listener.events(LinkEvent::Kind::lost)[0].text, Catch::Contains("the broker is shutting down"));
  CHECK(listener.connected(2));
  CHECK(listener.link->stop());
}

TEST_CASE("an unstable connection is reported with the hint of another client with our id") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  broker.start();
  Listener listener(broker, {"cellar/#"}, version);
  REQUIRE(listener.link->start());
  settle(listener, broker);
  Process thief({"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()), "-V", "5", "-i",
                 "listener", "-t", "x"});
  REQUIRE(eventually([&] { return !listener.events(LinkEvent::Kind::lost).empty(); }));
  CHECK_THAT(listener.events(LinkEvent::Kind::lost)[0].text, Catch::Contains("client id \"listener\""));
}

TEST_CASE("publishing is acknowledged, retained, and waits for a broker") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker;
  Listener listener(broker, {"cellar/#"}, version);
  REQUIRE(listener.link->start());
  std::atomic<int> done = 0;
  for (int i = 0; i < 300; ++i) {
    listener.link->publish("cellar/alert", std::to_string(i), true, [&done](const Status& status) {
      if (status) ++done;
    });
  }
  std::this_thread::sleep_for(100ms);
  CHECK(done == 0);
  broker.start();
  REQUIRE(eventually([&] { return done == 300; }));
  const TempDir dir;
  Process reader({"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()), "-t",
                  "cellar/alert", "-C", "1", "-W", "5"},
                 dir / "out");
  REQUIRE(reader.wait() == 0);
  std::ifstream in(dir / "out");
  std::string retained;
  std::getline(in, retained);
  CHECK(retained == "299");
}

TEST_CASE("every publication is answered, even when the link stops first or too many wait") {
  Broker broker;  // never started
  std::atomic<int> refused = 0;
  {
    Listener listener(broker);
    REQUIRE(listener.link->start());
    for (int i = 0; i < 1200; ++i) {
      listener.link->publish("cellar/alert", "x", true, [&refused](const Status& status) {
        if (!status && status.error().code == Errc::unavailable) ++refused;
      });
    }
    CHECK(refused == 200);
    CHECK(listener.link->stop());
  }
  CHECK(refused == 1200);
}

TEST_CASE("publications survive a broker's restart in between") {
  Broker broker;
  broker.start();
  Listener listener(broker);
  REQUIRE(listener.link->start());
  settle(listener, broker);
  std::atomic<int> done = 0;
  std::atomic<int> failed = 0;
  for (int i = 0; i < 600; ++i) {
    listener.link->publish("attic/alert", std::to_string(i), false,
                           [&](const Status& status) { ++(status ? done : failed); });
    if (i == 300) broker.kill();
  }
  broker.start();
  CHECK(eventually([&] { return done + failed == 600; }));
  CHECK(failed <= 20);  // those in flight when the broker died may have to be sent again
}

TEST_CASE("the link stops within a second") {
  Broker broker;
  const auto stop_takes = [](Listener& listener) {
    const auto start = std::chrono::steady_clock::now();
    const Status status = listener.link->stop();
    CHECK(std::chrono::steady_clock::now() - start < 1s);
    return status;
  };
  SECTION("never started") {
    Listener listener(broker);
    CHECK(stop_takes(listener));
  }
  SECTION("no broker") {
    Listener listener(broker);
    REQUIRE(listener.link->start());
    std::this_thread::sleep_for(50ms);
    CHECK(stop_takes(listener));
  }
  SECTION("connected, and the broker knows that it was meant") {
    broker.start();
    Listener listener(broker);
    REQUIRE(listener.link->start());
    settle(listener, broker);
    CHECK(stop_takes(listener));
    CHECK(eventually(
        [&] { return broker.log().find("Received DISCONNECT from listener") != std::string::npos; }));
  }
}

TEST_CASE("a message that cannot be kept is offered again until it can, and then acknowledged") {
  Broker broker;
  broker.start();
  Listener listener(broker);
  std::atomic<int> attempts = 0;
  listener.seen->keep = [&attempts](const Message& message, std::stop_token) -> Status {
    if (message.payload == "first" && ++attempts < 5) {
      if (attempts == 2) throw std::runtime_error("out of something");  // has not stored it either
      if (attempts == 3) Listener::clock.advance(24h);                  // it was behind, and is set meanwhile
      return fail(Errc::storage, "locked");
    }
    if (message.payload == "rubbish")
      return fail(Errc::out_of_range, "never");  // must not block what follows
    return success();
  };
  REQUIRE(listener.link->start());
  settle(listener, broker);
  broker.publish("cellar/probe", {"first", "rubbish", "last"});
  REQUIRE(listener.received(2));
  CHECK(attempts == 5);
  // By the clock as it was set.
  const Duration since = Listener::clock.now() - listener.messages()[0].received;
  CHECK(since >= Duration(0));
  CHECK(since < seconds(5));
  CHECK(listener.payloads() == std::vector<std::string>{"first", "last"});
}

TEST_CASE("an invalid address is an error at the start") {
  Broker broker;
  const char* const address = GENERATE("localhost", "http://localhost", "mqtt://", "");
  CAPTURE(address);
  Listener listener(broker, {"cellar/#"}, 5, [&](MqttSettings& settings) { settings.broker = address; });
  CHECK(listener.link->start().error().code == Errc::malformed);
}

// MQTT 5.0, 3.1.2.11.2 and 3.1.1, 3.1.3.1: a session that lasts would fill up with what nobody will ever
// fetch, and a client without a name may not ask for one.
TEST_CASE("a client without an id leaves no session at the broker") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  Broker broker("allow_anonymous true\nsys_interval 1\n");
  broker.start();
  Listener guest(broker, {"cellar/#"}, version, [](MqttSettings& settings) { settings.client_id.clear(); });
  REQUIRE(guest.link->start());
  REQUIRE(guest.connected());
  REQUIRE(eventually([&] { return broker.log().find("Sending SUBACK") != std::string::npos; }));
  broker.publish("cellar/hydrometer", {"1.048"});
  CHECK(guest.received(1));
  guest.link.reset();
  REQUIRE(
      eventually([&] { return broker.log().find("Received DISCONNECT from auto-") != std::string::npos; }));
  std::this_thread::sleep_for(2s);  // the broker counts once a second
  const auto sleeping = [&broker]() -> std::string {
    const TempDir dir;
    Process asking({"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()), "-t",
                    "$SYS/broker/clients/disconnected", "-C", "1", "-W", "5"},
                   dir / "count");
    asking.wait();
    std::string count;
    std::getline(std::ifstream(dir / "count"), count);
    return count;
  };
  // The count may be one that was taken while a client was just leaving.
  std::string count;
  CHECK(eventually([&] { return (count = sleeping()) == "0"; }));
  CAPTURE(count);
}
