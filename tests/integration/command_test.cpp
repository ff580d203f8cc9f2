// The command, the daemon and a real broker together, as a brewer uses them.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "cellar.h"

using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using gyle::test::Cellar;
using gyle::test::content;
using gyle::test::eventually;
using gyle::test::free_port;
using gyle::test::Process;
using gyle::test::TempDir;
using nlohmann::json;
using namespace std::chrono_literals;

namespace {

// A broker and a configuration for it; the daemon when it is asked for.
struct CommandedCellar : Cellar {
  CommandedCellar() {
    broker.start();
    std::ofstream(config()) << "[mqtt]\nbroker = \"" << broker.url() << "\"\n"
                            << "[storage]\ndatabase = \"" << (dir / "journal.db").string() << "\"\n"
                            << "[control]\nsocket = \"" << (dir / "control.sock").string() << "\"\n"
                            << "[[source]]\ntopic = \"gylekeeper/rehearsal/+\"\nformat = \"senml\"\n"
                            << "[[vessel]]\nname = \"left\"\nsensors = [\"hydrometer\", \"probe\"]\n";
  }
  void start_daemon() {
    daemon = std::make_unique<Process>(
        std::vector<std::string>{GYLE_DAEMON, "--config", config(), "--clock-follows-messages"}, log());
    REQUIRE(eventually([this] { return ask({"status"}).text.rfind("no batch is in a vessel\n", 0) == 0; }));
    REQUIRE(eventually([this] { return status()["daemon"]["broker_connected"] == true; }));
  }
  json status() const { return json::parse(ask({"status", "--json"}).text); }
};

std::size_t lines_in(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

TEST_CASE("a rehearsal watched live gives the curve and the alerts of its replay") {
  CommandedCellar cellar;
  const auto file = [&](const char* name) { return (cellar.dir / name).string(); };
  const std::vector<std::string> batch{"rehearse", "--pitched", "2026-03-01T18:30:00Z", "--interval",
                                       "30 min"};
  const auto rehearse = [&](std::vector<std::string> more) {
    more.insert(more.begin(), batch.begin(), batch.end());
    return cellar.ask(more);
  };
  CHECK(cellar.ask({"status"}).exit == 3);  // no daemon yet
  CHECK_THAT(cellar.ask({"stauts"}).text, Contains("there is no verb \"stauts\"; did you mean status?"));
  CHECK_THAT(cellar.ask({"status", "--jsn"}).text, Contains("no option --jsn; did you mean --json?"));
  CHECK_THAT(cellar.ask({"export", "left", "--what", "x"}).text, Contains("must be raw, curve, alerts"));
  CHECK_THAT(cellar.ask({"status", "left", "right"}).text, Contains("does not take \"right\" as well"));
  cellar.start_daemon();
  REQUIRE(rehearse({"--dry-run", "--write-batch", file("b.toml"), "--write-readings", file("r.csv")}).exit ==
          0);
  CHECK_THAT(cellar.ask({"pitch", "--vessel", "left", "--batch", file("b.toml")}).text,
             Contains("is in left"));
  CHECK(cellar.ask({"pitch", "--vessel", "left", "--batch", file("b.toml")}).exit == 1);
  CHECK(cellar.ask({"pitch", "--vessel", "attic", "--batch", file("b.toml")}).exit == 1);
  Process follower(cellar.command({"alerts", "--follow"}), file("followed"));

  REQUIRE(rehearse({"--speed", "max", "--quiet"}).exit == 0);
  REQUIRE(cellar
              .ask({"replay", "--batch", file("b.toml"), "--readings", file("r.csv"), "--curve",
                    file("replayed")})
              .exit == 0);
  const std::string sentences =
      cellar.ask({"replay", "--batch", file("b.toml"), "--readings", file("r.csv")}).text;
  REQUIRE(eventually([&] { return cellar.ask({"curve"}).text.size() >= content(file("replayed")).size(); }));

  CHECK(cellar.ask({"curve", "left", "--output", file("live")}).exit == 0);
  CHECK(content(file("live")) == content(file("replayed")));
  CHECK(lines_in(sentences) > 2);
  CHECK(cellar.ask({"alerts", "left"}).text == sentences);
  CHECK(eventually([&] { return content(file("followed")) == sentences; }));

  CHECK(lines_in(cellar.ask({"status"}).text) == 3);
  CHECK(cellar.ask({"status", "right"}).exit == 1);

  CHECK(cellar.ask({"notes", "left"}).text == "No note yet.\n");
  CHECK(cellar.ask({"note", "left", "Yeast rinsed\nand kept.", "--at", "2026-03-05T18:30:00Z"}).exit == 0);
  CHECK(cellar.ask({"note", "left", "Pitched warm.", "--at", "2026-03-01T19:00:00Z"}).exit == 0);
  CHECK(
      cellar.ask({"notes", "left"}).text ==
      "2  Sun 1 Mar 19:00  Pitched warm.\n1  Thu 5 Mar 18:30  Yeast rinsed\n                    and kept.\n");
  CHECK(cellar.ask({"note", "left", "Pitched warm.", "--at", "2026-03-01T19:00:00Z"}).exit == 1);
  CHECK(cellar.ask({"note", "left", "Tomorrow.", "--at", "2036-03-01T19:00:00Z"}).exit == 2);
  CHECK(cellar.ask({"note", "left", " "}).exit == 2);
  CHECK(cellar.ask({"package", "left"}).exit == 0);
  CHECK(cellar.ask({"package", "1"}).exit == 1);
  CHECK(cellar.ask({"status"}).text == "no batch is in a vessel\n");
  CHECK(cellar.ask({"curve", "1"}).text == content(file("replayed")));

  cellar.daemon->send(SIGTERM);
  CHECK(cellar.daemon->wait() == 0);
  CHECK(cellar.ask({"status"}).exit == 3);
}

TEST_CASE("a batch can be pitched by flags, now by the daemon's clock") {
  CommandedCellar cellar;
  cellar.start_daemon();
  const Cellar::Said pitched = cellar.ask({"pitch",
                                           "--vessel",
                                           "left",
                                           "--name",
                                           "Amber",
                                           "--original-gravity",
                                           "12 P",
                                           "--attenuation",
                                           "0.71:0.78",
                                           "--yeast-range",
                                           "15 Cel:21 Cel",
                                           "--volume",
                                           "12 L",
                                           "--hold",
                                           "17 Cel until 75 % of the fall",
                                           "--hold",
                                           "20 Cel until final gravity",
                                           "--pitched",
                                           "2026-03-01T18:30:00Z",
                                           "--json"});
  REQUIRE(pitched.exit == 0);
  const json spec = json::parse(pitched.text)["spec"];
  CHECK(spec["pitched"] == "2026-03-01T18:30:00Z");
  CHECK(spec["original_gravity_sg"].get<double>() ==
        Approx(1.0484).margin(0.0001));  // C440, table 114: 12 degP
  CHECK(spec["plan"][0] == json{{"hold_celsius", 17.0}, {"until", {{"progress", 0.75}}}});
  CHECK(cellar
            .ask({"pitch", "--vessel", "left", "--name", "x", "--attenuation", "0.9:0.2", "--pitched",
                  "2026-03-01"})
            .exit == 2);
}

TEST_CASE(
    "where messages tell the time and none has come, the tool says that the time is missing, and what "
    "helps") {
  CommandedCellar cellar;
  cellar.start_daemon();
  const auto refused = [&](const std::vector<std::string>& arguments, const char* advice) {
    const Cellar::Said said = cellar.ask(arguments);
    CAPTURE(said.text);
    CHECK(said.exit == 1);
    CHECK_THAT(said.text, Contains("does not know what time it is") && Contains("--clock-follows-messages") &&
                              Contains(advice));
  };
  const std::vector<std::string> pitch{"pitch", "--vessel", "left", "--name", "Amber"};
  refused(pitch, "--pitched \"2026-03-01 18:30\"");
  const auto with = [&](const char* pitched) {
    auto arguments = pitch;
    arguments.insert(arguments.end(), {"--json", "--pitched", pitched});
    return cellar.ask(arguments);
  };
  CHECK(with("18:30").exit == 2);
  CHECK_THAT(with("18:30").text, Contains("the current date is unknown"));
  const Cellar::Said pitched = with("2026-03-01 18:30");
  REQUIRE(pitched.exit == 0);
  CHECK(json::parse(pitched.text)["spec"]["pitched"] ==
        "2026-03-01T18:30:00Z");  // no zone is configured: UTC
  refused({"sample", "left", "1.020"}, "after the first message");
  refused({"package", "left"}, "say when");
  CHECK(cellar.ask({"package", "left", "--at", "2026-03-02 10:00"}).exit == 0);
}

TEST_CASE("listen shows what arrives, and proposes how to read what is not mapped") {
  CommandedCellar cellar;
  const auto log = cellar.dir / "heard";
  Process listener(cellar.command({"listen", "--topic", "shed/#", "--topic", "gylekeeper/#", "--count", "3"}),
                   log);
  // Retained, so that it waits for the listener.
  cellar.broker.publish("shed/box", {R"({"density": 1.0312, "temperature": 18.5})"}, {"-r"});
  REQUIRE(eventually([&] { return content(log).find("shed/box") != std::string::npos; }));
  cellar.broker.publish("gylekeeper/rehearsal/hydrometer", {R"([{"n":"hydrometer:gravity","v":1.0481}])"});
  cellar.broker.publish("gylekeeper/rehearsal/hydrometer", {"\x1b[2J rubbish"});
  CHECK(listener.wait() == 0);
  const std::string heard = content(log);
  CHECK_THAT(heard, Contains("[[source]]") && Contains("hydrometer: gravity 1.0481") && Contains("not_json"));
  CHECK(heard.find('\x1b') == std::string::npos);
}

namespace {

// A broker of one connection that refuses every subscription, by MQTT 5: a SUBACK with reason code 0x87, "not
// authorized" (OASIS MQTT 5.0, 3.9.3), or by 3.1.1: with return code 0x80, "failure" (3.9.3 there).
class DenyingBroker {
 public:
  DenyingBroker() : port_(free_port()), fd_(socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port_));
    REQUIRE(bind(fd_, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
    REQUIRE(::listen(fd_, 1) == 0);
    thread_ = std::thread([this] { serve(accept(fd_, nullptr, nullptr)); });
  }
  DenyingBroker(const DenyingBroker&) = delete;
  DenyingBroker& operator=(const DenyingBroker&) = delete;
  ~DenyingBroker() {
    shutdown(fd_, SHUT_RDWR);
    thread_.join();
    close(fd_);
  }
  std::string url() const { return "mqtt://127.0.0.1:" + std::to_string(port_); }

 private:
  // The packets of this test are shorter than 128 bytes: their length is one byte.
  static void serve(int client) {
    bool five = false;
    unsigned char head[2];
    unsigned char body[128];
    while (recv(client, head, 2, MSG_WAITALL) == 2 && head[1] < sizeof body) {
      if (head[1] > 0 && recv(client, body, head[1], MSG_WAITALL) != head[1]) break;
      std::string answer;
      if (head[0] >> 4 == 1) {  // CONNECT: the version follows the length-prefixed "MQTT"
        five = body[6] == 5;
        answer = five ? std::string("\x20\x03\x00\x00\x00", 5) : std::string("\x20\x02\x00\x00", 4);
      } else if (head[0] >> 4 == 8) {  // SUBSCRIBE
        const std::string id(reinterpret_cast<const char*>(body), 2);
        answer = five ? "\x90\x04" + id + std::string("\x00\x87", 2) : "\x90\x03" + id + "\x80";
      }
      if (!answer.empty() && send(client, answer.data(), answer.size(), MSG_NOSIGNAL) < 0) break;
    }
    close(client);
  }

  int port_;
  int fd_;
  std::thread thread_;
};

}  // namespace

TEST_CASE("listen ends when the broker does not permit the subscription, and says so") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  CommandedCellar cellar;
  const DenyingBroker denying;
  const auto config = cellar.dir / "denied.toml";
  std::ofstream(config) << "[mqtt]\nbroker = \"" << denying.url() << "\"\nversion = " << version << "\n";
  Process listener({GYLE_TOOL, "--config", config.string(), "listen", "--topic", "shed/#"},
                   cellar.dir / "denied.log");
  CHECK(listener.wait(10s).value_or(999) == 1);
  CHECK_THAT(content(cellar.dir / "denied.log"), Contains("does not permit subscribing to shed/#"));
}

TEST_CASE("a missing broker is reported, and the rehearsal fails") {
  CommandedCellar cellar;
  cellar.broker.stop();
  const Cellar::Said said = cellar.ask({"rehearse", "--speed", "max"});
  CHECK(said.exit == 1);
  CHECK_THAT(said.text, Contains("no connection to the broker " + cellar.broker.url()));
}
