#include "mqtt/session.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using namespace std::chrono_literals;
using Catch::Contains;

namespace {

const Time kClock = Time(seconds(1'772'000'000));
const ConnectFailure kNobody{};
const Error kLost{Errc::unavailable, "the connection is lost"};

MqttSettings settings(int version = 5, const std::string& broker = "mqtt://broker.local") {
  MqttSettings s;
  s.broker = broker;
  s.version = version;
  s.client_id = "cellar-watch";
  s.ca_file = "/etc/ssl/house.pem";
  return s;
}

// A session in made-up time, with the longest pauses.
struct Line {
  Session session;
  Session::Instant now{1000h};

  explicit Line(const MqttSettings& s = settings(), std::optional<SignsOfLife> signs = {})
      : session(s, signs) {}

  Attempt attempt() {
    REQUIRE(session.due(now));
    const Attempt how = session.begin(now);
    CHECK_FALSE(session.due(now));
    return how;
  }
  void connect(bool session_present = false) {
    attempt();
    session.connection_made(session_present, now);
  }
  void fail(const ConnectFailure& failure = kNobody) {
    attempt();
    session.connection_failed(failure, now, 0.0);
    now = session.wake();
  }
  void lose(const Loss& loss = {}) {
    session.connection_lost(loss, now, 0.0);
    now = session.wake();
  }
  void publish(const std::string& payload) {
    PublishQueue::OnDone none;
    REQUIRE(session.queue().add("cellar/alert", payload, false, none));
  }
  std::vector<Session::Outgoing> sent() {
    std::vector<Session::Outgoing> all;
    while (const auto next = session.next(kClock)) all.push_back(*next);
    return all;
  }
  // The only news, as its sentence.
  std::string news() {
    const auto all = session.take_news();
    REQUIRE(all.size() == 1);
    return all[0].text;
  }
};

}  // namespace

TEST_CASE("an attempt that fails is repeated after a pause, its reason reported once") {
  Line line;
  line.fail();
  CHECK(line.now == Session::Instant(1000h) + 1s);
  const auto news = line.session.take_news();
  REQUIRE(news.size() == 1);
  CHECK(news[0].kind == LinkEvent::Kind::refused);
  CHECK(news[0].text == "no connection to the broker mqtt://broker.local: nobody answers there");
  line.fail();
  CHECK(line.now == Session::Instant(1000h) + 3s);
  CHECK(line.session.take_news().empty());
  line.fail({.code = 0x87});
  CHECK_THAT(line.news(), Contains("does not accept the user name and password"));
  line.connect();
  line.lose();
  line.session.take_news();
  line.fail({.code = 0x87});
  CHECK_THAT(line.news(), Contains("user name and password"));  // again after a connection
}

TEST_CASE("an attempt without any result is given up, a late result of it ignored") {
  Line line;
  line.attempt();
  CHECK_FALSE(line.session.expired(line.now + 14s));
  CHECK(line.session.expired(line.now + 15s));
  line.session.connection_failed({.text = "the broker does not answer"}, line.now + 15s, 0.0);
  CHECK_THAT(line.news(), Contains("the broker does not answer"));
  line.session.connection_failed({.code = 0x87}, line.now + 15s, 0.0);
  CHECK(line.session.take_news().empty());
  CHECK(line.session.due(line.now + 16s));
}

// The codes are those of MQTT 5 section 2.4 and MQTT 3.1.1 section 3.2.2.3.
TEST_CASE("why there is no connection is said in words") {
  struct Row {
    const char* broker;
    int version;
    ConnectFailure failure;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {"mqtt://broker.local",
       5,
       {.bad_name = "the name \"broker.local\" is unknown"},
       "the name \"broker.local\" is unknown"},
      {"mqtt://broker.local", 3, {.code = 4}, "does not accept the user name and password"},
      {"mqtt://broker.local", 3, {.code = 5}, "does not accept the user name and password"},
      {"mqtt://broker.local", 5, {.code = 0x86}, "does not accept the user name and password"},
      {"mqtt://broker.local", 3, {.code = 1}, "does not speak MQTT 3.1.1"},
      {"mqtt://broker.local", 3, {.code = 2}, "does not accept the client id \"cellar-watch\""},
      {"mqtt://broker.local", 3, {.code = 3}, "does not serve anyone at present"},
      {"mqtt://broker.local", 5, {.code = 0x97, .text = "Quota exceeded"}, "Quota exceeded"},
      {"mqtt://broker.local", 5, {.code = 0xf0}, "refuses with the code 240"},
      {"mqtts://broker.local", 5, {}, "nobody answers there over TLS with a certificate for that name"},
      {"mqtts://broker.local",
       5,
       {.tls = "error:0A000086:SSL routines::certificate verify failed"},
       "the authorities of /etc/ssl/house.pem do not vouch for its certificate"},
      {"mqtts://broker.local",
       5,
       {.tls = "error:05880002:x509 certificate routines::system lib"},
       "/etc/ssl/house.pem is not a readable file of PEM certificates"},
      {"mqtts://broker.local",
       5,
       {.tls = "error:0A000410:SSL routines::sslv3 alert handshake failure"},
       "TLS fails: error:0A000410:SSL routines::sslv3 alert handshake failure"},
  }));
  CAPTURE(row.says);
  Line line(settings(row.version, row.broker));
  line.fail(row.failure);
  CHECK_THAT(line.news(), Contains(row.says));
}

TEST_CASE("a broker that does not speak MQTT 5 is asked by 3.1.1 at once, and from then on") {
  // How brokers of 3.1.1 and of 5 say so: 3.1.1 section 3.1.2.2, 5 section 3.1.2.2.
  const int code = GENERATE(1, 0x84);
  CAPTURE(code);
  Line line;
  CHECK(line.attempt().version == 5);
  line.session.connection_failed({.code = code}, line.now, 0.0);
  CHECK(line.session.due(line.now));
  const auto news = line.session.take_news();
  REQUIRE(news.size() == 1);
  CHECK(news[0].kind == LinkEvent::Kind::degraded);
  CHECK_THAT(news[0].text, Contains("does not speak MQTT 5"));
  CHECK(line.attempt().version == 3);
  line.session.connection_made(false, line.now);
  line.lose();
  CHECK(line.attempt().version == 3);
}

TEST_CASE("a broker that may dislike the last will is asked for less") {
  SECTION("MQTT 5 says so: QoS not supported") {
    Line line;
    CHECK(line.attempt().will_qos == 1);
    line.session.connection_failed({.code = 0x9b}, line.now, 0.0);
    line.now = line.session.wake();
    CHECK(line.attempt().will_qos == 0);
    line.session.connection_made(false, line.now);
    CHECK(line.sent().at(0).qos == 0);  // the beat
  }
  SECTION("in 3.1.1 every other attempt asks for less") {
    Line line(settings(3));
    std::vector<int> asked;
    for (int i = 0; i < 4; ++i) {
      asked.push_back(line.attempt().will_qos);
      line.session.connection_failed(kNobody, line.now, 0.0);
      line.now = line.session.wake();
    }
    CHECK(asked == std::vector<int>{1, 0, 1, 0});
  }
  SECTION("an unknown name says nothing about it") {
    Line line(settings(3));
    line.fail({.bad_name = "the name is unknown"});
    CHECK(line.attempt().will_qos == 1);
  }
}

// The reasons are those of MQTT 5 section 3.14.2.1.
TEST_CASE("how a connection ended is said in words, and what to look for") {
  struct Row {
    Loss loss;
    Session::Instant::duration lived;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {{}, 1h, "the connection to the broker mqtt://broker.local is lost; trying again"},
      {{},
       3s,
       "the connection to the broker mqtt://broker.local is lost; trying again (if this goes on, another "
       "client may be using the client id \"cellar-watch\" too)"},
      {{0x8e, "Session taken over"},
       3s,
       "the connection to the broker mqtt://broker.local is lost: another client has connected with the "
       "client id \"cellar-watch\"; trying again"},
      {{0x8b, "Server shutting down"},
       3s,
       "the connection to the broker mqtt://broker.local is lost: the broker is shutting down; trying again"},
      {{0x98, "Administrative action"},
       1h,
       "the connection to the broker mqtt://broker.local is lost: the broker has ended it (Administrative "
       "action); trying again"},
      {{0xff, ""},
       1h,
       "the connection to the broker mqtt://broker.local is lost: the broker has ended it (reason 255); "
       "trying again"},
  }));
  Line line;
  line.connect();
  line.now += row.lived;
  line.lose(row.loss);
  const auto news = line.session.take_news();
  REQUIRE(news.size() == 1);
  CHECK(news[0].kind == LinkEvent::Kind::lost);
  CHECK(news[0].text == row.says);
  line.session.connection_lost(row.loss, line.now, 0.0);  // it is not connected: nothing is lost
  CHECK(line.session.take_news().empty());
}

TEST_CASE("connections that are lost at once are tried again more and more rarely") {
  Line line;
  for (const auto pause : {1s, 2s, 4s, 8s}) {
    line.connect();
    const auto lost = line.now;
    line.lose();
    CHECK(line.now - lost == pause);
  }
}

TEST_CASE("nothing is sent without a connection, and over a new one the sign of life comes first") {
  Line line;
  line.publish("a");
  line.session.beat();
  CHECK(line.sent().empty());
  line.connect();
  const auto sent = line.sent();
  REQUIRE(sent.size() == 2);
  CHECK(sent[0].topic == MqttSettings{}.heartbeat_topic);
  CHECK(sent[0].retained);
  CHECK_THAT(sent[0].payload, Contains("\"state\":\"alive\"") && Contains(format_rfc3339(kClock)));
  CHECK(sent[1].payload == "a");
  CHECK_FALSE(line.session.all_settled());
  for (const auto& message : sent) line.session.settle(message.ticket, success());
  CHECK(line.session.all_settled());
}

TEST_CASE("a broker that does not answer gets one sign of life, and the next after the answer") {
  Line line;
  line.connect();
  const auto first = line.sent();
  REQUIRE(first.size() == 1);
  line.session.beat();
  line.session.beat();
  CHECK(line.sent().empty());
  line.session.settle(first[0].ticket, success());
  const auto second = line.sent();
  REQUIRE(second.size() == 1);
  line.session.settle(second[0].ticket, kLost);
  CHECK(line.sent().empty());  // not again: the next one is newer
  line.session.beat();
  CHECK(line.sent().size() == 1);
}

TEST_CASE("a sign of life that the broker refuses is reported once") {
  Line line;
  line.connect();
  line.session.settle(line.sent().at(0).ticket, Error{Errc::refused, "Not authorized"});
  CHECK_THAT(line.news(),
             Contains("nobody can see whether the watcher is alive") && Contains("Not authorized"));
  line.session.beat();
  line.session.settle(line.sent().at(0).ticket, Error{Errc::refused, "Not authorized"});
  CHECK(line.session.take_news().empty());
}

TEST_CASE("signs of life of one's own, or none at all") {
  SECTION("of one's own") {
    Line line(settings(), SignsOfLife{"ready", "disconnected", "lost"});
    CHECK(line.session.will() == "lost");
    CHECK_FALSE(line.session.last_beat(kClock));  // nobody would hear it
    line.connect();
    CHECK(line.sent().at(0).payload == "ready");
    CHECK(line.session.last_beat(kClock).value().payload == "disconnected");
  }
  SECTION("the watcher's") {
    Line line;
    line.connect();
    CHECK_THAT(line.session.will(), Contains("gone"));
    CHECK_THAT(line.session.last_beat(kClock).value().payload, Contains("stopped"));
  }
  SECTION("none") {
    MqttSettings quiet = settings();
    quiet.heartbeat_topic.clear();
    Line line(quiet);
    line.connect();
    line.session.beat();
    CHECK(line.sent().empty());
    CHECK_FALSE(line.session.last_beat(kClock));
  }
}

TEST_CASE("what was in flight is sent again to a broker without memory, and not to one that remembers") {
  const bool remembers = GENERATE(true, false);
  CAPTURE(remembers);
  Line line;
  line.connect();
  for (const char* payload : {"a", "b"}) line.publish(payload);
  const auto first = line.sent();  // beat, a, b
  REQUIRE(first.size() == 3);
  line.session.settle(first[2].ticket, kLost);  // the library gives b up
  line.lose();
  CHECK(line.sent().empty());
  line.connect(remembers);
  std::vector<std::string> again;
  for (const auto& message : line.sent()) {
    if (message.topic == "cellar/alert") again.push_back(message.payload);
  }
  // To one that remembers the library itself sends a again, as MQTT asks it to: 5 section 4.4.
  CHECK(again == (remembers ? std::vector<std::string>{"b"} : std::vector<std::string>{"a", "b"}));
}
