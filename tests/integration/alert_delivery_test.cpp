// Alerts to real receivers, with the daemon killed in between.

#include <catch2/catch.hpp>
#include <chrono>
#include <map>
#include <set>
#include <thread>

#include "support/sink.h"
#include "watched_cellar.h"

using namespace gyle::test;
using nlohmann::json;

namespace {

std::vector<std::string> rehearsal(const std::vector<std::string>& more = {}) {
  std::vector<std::string> arguments{"rehearse",   "--quiet", "--pitched", "2026-03-01T18:30:00Z",
                                     "--interval", "60 min"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return arguments;
}

struct Destinations {
  Certificate certificate;
  Sink web{"http_sink.py"};
  Sink mail{"smtp_sink.py",
            {"--user", "cellar", "--password", "hop sack", "--certificate", certificate.with_key()}};
};

struct AlertingCellar : WatchedCellar {
  explicit AlertingCellar(const Destinations& far, const std::string& more = "") {
    std::ofstream(dir / "password") << "hop sack\n";
    configure(
        "[[channel]]\nname = \"mqtt\"\nkind = \"mqtt\"\n"
        "[[channel]]\nname = \"machine\"\nkind = \"webhook\"\none_by_one = true\nurl = \"" +
        far.web.url("http") +
        "/machine\"\n"
        "[[channel]]\nname = \"mail\"\nkind = \"e-mail\"\none_by_one = true\nserver = \"" +
        far.mail.url("smtp") +
        "\"\nfrom = \"cellar@example.org\"\nto = [\"brewer@example.org\"]\nusername = \"cellar\"\n"
        "password_file = \"" +
        (dir / "password").string() + "\"\nca_file = \"" + far.certificate.file().string() + "\"\n" + more);
    broker.start();
    start_and_connect();
    const auto file = (dir / "b.toml").string();
    REQUIRE(ask(rehearsal({"--dry-run", "--write-batch", file})).exit == 0);
    REQUIRE(ask({"pitch", "--vessel", "left", "--batch", file}).exit == 0);
  }
  std::vector<json> alerts() const {
    std::vector<json> all;
    std::istringstream lines(ask({"alerts", "left", "--json"}).text);
    for (std::string line; std::getline(lines, line);) all.push_back(json::parse(line));
    return all;
  }
  std::int64_t waiting() const {
    std::int64_t sum = 0;
    const json channels = json::parse(ask({"channels", "--json"}).text);
    for (const json& channel : channels["channels"]) sum += channel["waiting"].get<std::int64_t>();
    return sum;
  }
};

// Each message once, by the key with which the receiver recognises a repetition: texts by key.
std::map<std::string, std::string> messages(const Sink& sink,
                                            const std::function<std::string(const json&)>& text) {
  std::map<std::string, std::string> by_key;
  for (const json& one : sink.received()) {
    const std::string key = one["key"];
    REQUIRE_FALSE(key.empty());
    const auto [found, is_new] = by_key.emplace(key, text(one));
    CHECK((is_new || found->second == text(one)));  // a repetition is the same message
  }
  return by_key;
}

std::string unwrapped(std::string text) {
  std::string words;
  for (const char c : text) {
    const bool space = c == ' ' || c == '\n' || c == '\r';
    if (!space) words += c;
  }
  return words;
}

}  // namespace

// Killed again and again while alerts are decided, stored, sent and recorded as sent; the receivers fail now
// and then. Afterwards every alert has arrived once in each channel, by its key.
TEST_CASE("every alert arrives once in every channel, whenever the daemon is killed") {
  Destinations far;
  far.web.start({"--script", "500,200,drop,429:1,cut,200"});
  far.mail.start({"--script", "450,250,drop,250"});
  AlertingCellar cellar(far);
  Process publisher(cellar.command(rehearsal({"--speed", "60000"})), cellar.dir / "published");
  for (int kill = 0; kill < 12; ++kill) {
    std::this_thread::sleep_for(std::chrono::milliseconds(350 + 230 * (kill % 5)));
    cellar.kill();
    cellar.start();
    REQUIRE(eventually([&] { return cellar.answers(); }));
  }
  REQUIRE(publisher.wait().value_or(-1) == 0);
  REQUIRE(eventually([&] { return cellar.alerts().size() >= 4 && cellar.waiting() == 0; },
                     std::chrono::seconds(90)));
  const std::vector<json> alerts = cellar.alerts();

  std::multiset<std::string> expected;
  for (const json& alert : alerts) expected.insert(unwrapped(alert["text"]));
  const auto web = messages(far.web, [](const json& one) {
    return unwrapped(json::parse(one["body"].get<std::string>())["data"]["text"]);
  });
  std::multiset<std::string> by_web;
  for (const auto& [key, text] : web) by_web.insert(text);
  CHECK(by_web == expected);

  const auto mail = messages(far.mail, [](const json& one) { return unwrapped(one["mail"]["text"]); });
  CHECK(mail.size() == alerts.size());
  for (const std::string& text : expected) {
    const auto holds = [&](const auto& one) { return one.second.find(text) != std::string::npos; };
    CHECK(std::count_if(mail.begin(), mail.end(), holds) ==
          static_cast<std::ptrdiff_t>(expected.count(text)));
  }
}

TEST_CASE("a test of a channel reports the receiver's answer") {
  Destinations far;
  AlertingCellar cellar(far,
                        "[[channel]]\nname = \"wrong\"\nkind = \"webhook\"\nurl = \"http://127.0.0.1:1/\"\n");
  CHECK(cellar.ask({"alert-test", "machine"}).exit == 0);
  CHECK(cellar.ask({"alert-test", "mail"}).exit == 0);
  const auto wrong = cellar.ask({"alert-test", "wrong"});
  CHECK(wrong.exit == 1);
  CHECK(wrong.text.find("did not arrive") != std::string::npos);
  CHECK(cellar.ask({"alert-test", "pigeon"}).exit == 1);
  far.web.start({"--script", "401,200"});
  const auto refused = cellar.ask({"alert-test", "machine"});
  CHECK(refused.exit == 1);
  CHECK(refused.text.find("401") != std::string::npos);
  const auto channels = cellar.ask({"channels"});
  CHECK(channels.text.find("machine (webhook)") != std::string::npos);
  CHECK(channels.text.find("1 refused") != std::string::npos);
  CHECK(cellar.ask({"channels", "--retry", "machine"}).exit == 0);
  CHECK(eventually([&] { return cellar.ask({"channels"}).text.find("refused") == std::string::npos; }));
  // The password appears nowhere.
  CHECK(content(cellar.log()).find("hop sack") == std::string::npos);
}

TEST_CASE("an alert can be acknowledged and snoozed") {
  Destinations far;
  AlertingCellar cellar(far);
  REQUIRE(cellar.ask(rehearsal({"--speed", "max"})).exit == 0);
  REQUIRE(eventually([&] { return cellar.alerts().size() >= 4; }));
  const auto open = cellar.ask({"alerts", "--open"});
  REQUIRE(open.exit == 0);
  std::istringstream words(open.text);
  std::string number;
  REQUIRE(words >> number);
  // By the daemon's clock, which is the rehearsal's: in March 2026.
  CHECK(cellar.ask({"snooze", number, "--until", "2026-06-01 08:00"}).exit == 0);
  CHECK(cellar.ask({"snooze", number, "--until", "2020-01-01 08:00"}).exit == 2);
  CHECK(cellar.ask({"acknowledge", number}).exit == 0);
  CHECK(cellar.ask({"acknowledge", "99999"}).exit == 1);
  // It is open until it is over.
  CHECK(cellar.ask({"alerts", "--open"}).text.find(number + "  ") != std::string::npos);
}
