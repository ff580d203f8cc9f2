// `gylekeeper check` with a real broker, without and with the daemon.
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "cellar.h"

using Catch::Matchers::Contains;
using gyle::test::Cellar;
using gyle::test::eventually;
using gyle::test::free_port;
using gyle::test::Process;
using gyle::test::TempDir;
using nlohmann::json;

namespace {

struct Checked {
  int exit;
  json checks;

  // "right", "look" or "wrong" of the first line of the part with these words; "absent".
  std::string verdict(const std::string& part, const std::string& words) const {
    for (const json& one : checks) {
      if (one["part"] == part && one["text"].get<std::string>().find(words) != std::string::npos)
        return one["verdict"];
    }
    return "absent";
  }
};

struct CheckedCellar : Cellar {
  explicit CheckedCellar(const std::string& broker_options = "max_packet_size 65536\n")
      : Cellar("allow_anonymous true\n" + broker_options) {
    broker.start();
    std::ofstream(config()) << "[mqtt]\nbroker = \"" << broker.url() << "\"\n"
                            << "[storage]\ndatabase = \"" << (dir / "journal.db").string() << "\"\n"
                            << "[control]\nsocket = \"" << (dir / "control.sock").string() << "\"\n"
                            << "[page]\nlisten = \"127.0.0.1:" << free_port() << "\"\n"
                            << "[[source]]\ntopic = \"cellar/+\"\nformat = \"senml\"\n"
                            << "[[vessel]]\nname = \"left\"\nsensors = [\"hydrometer\"]\n"
                            << "[[channel]]\nname = \"phone\"\nkind = \"webhook\"\nurl = \"http://127.0.0.1:"
                            << free_port() << "/secret-path\"\n";
  }
  Checked check() const {
    const auto [exit, text] = ask({"check", "--json"});
    CAPTURE(text);
    REQUIRE(json::accept(text));
    CHECK(text.find("secret-path") == std::string::npos);
    return {exit, json::parse(text)["checks"]};
  }
};

}  // namespace

TEST_CASE("check says what is right and what is wrong, with and without the daemon") {
  CheckedCellar cellar;
  {
    const Checked alone = cellar.check();
    CAPTURE(alone.checks.dump(1));
    CHECK(alone.exit == 1);
    CHECK(alone.verdict("configuration", "is right") == "right");
    CHECK(alone.verdict("daemon", "") == "wrong");
    CHECK(alone.verdict("broker", "Connected to") == "right");
    CHECK(alone.verdict("broker", "came back after") == "right");
    CHECK(alone.verdict("broker", "up to 66 kB") == "right");  // 65536 bytes
    CHECK(alone.verdict("broker", "granted to the daemon only") == "look");
    CHECK(alone.verdict("sensors", "hydrometer (in left): not heard yet") == "wrong");
    CHECK(alone.verdict("channel", "phone (webhook): http://127.0.0.1") == "wrong");
    CHECK(alone.verdict("page", "does not answer") == "wrong");
    CHECK(alone.verdict("clock", "") != "absent");
  }

  Process daemon({GYLE_DAEMON, "--config", cellar.config()}, cellar.log());
  REQUIRE(eventually(
      [&] { return cellar.check().verdict("broker", "keeps the session for 30 days") == "right"; }));
  cellar.broker.publish("cellar/hydrometer", {R"([{"bn":"hydrometer","n":"/gravity","u":"1","v":1.031}])"});
  {
    const Checked watched = cellar.check();
    CAPTURE(watched.checks.dump(1));
    CHECK(watched.verdict("daemon", "It runs") == "right");
    CHECK(watched.verdict("broker", "came back after") == "right");
    CHECK(watched.verdict("database", "is whole. It holds") == "right");
    CHECK(watched.verdict("database", "not read whole") == "absent");
    CHECK(watched.verdict("page", "answers, on this machine only") == "right");
    CHECK(watched.verdict("sensors", "hydrometer") != "absent");
    CHECK(watched.verdict("channel", "phone (webhook): http://127.0.0.1") == "wrong");
  }

  cellar.broker.stop();
  REQUIRE(eventually([&] { return cellar.check().verdict("broker", "broker") == "wrong"; }));
  CHECK(cellar.check().exit == 1);
  daemon.send(SIGTERM);
  CHECK(daemon.wait() == 0);
}

TEST_CASE("check sees that the broker does not let its messages through") {
  const TempDir dir;
  std::ofstream(dir / "acl") << "topic readwrite cellar/#\n";
  const CheckedCellar cellar("acl_file " + (dir / "acl").string() + "\n");
  const Checked checked = cellar.check();
  CAPTURE(checked.checks.dump(1));
  CHECK(checked.verdict("broker", "did not come back") == "wrong");
  CHECK(checked.verdict("broker", "any size") == "look");
}
