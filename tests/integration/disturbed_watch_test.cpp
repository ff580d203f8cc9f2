// Whatever happens to the daemon and the broker during a batch: each reading is in the journal once, and the
// alerts are those of an undisturbed batch.
#include <fmt/format.h>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <set>

#include "base/rfc3339.h"
#include "integration/watched_cellar.h"

using namespace gyle::test;

namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr int kKills = 12;
#else
constexpr int kKills = 50;
#endif
constexpr int kUntimed = 1000;
constexpr auto kPatience = std::chrono::seconds(60);

// Three weeks, two messages every half hour of them.
std::vector<std::string> rehearsal(const std::vector<std::string>& more = {}) {
  std::vector<std::string> arguments{"rehearse",   "--quiet", "--pitched", "2026-03-01T18:30:00Z",
                                     "--interval", "30 min"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return arguments;
}

struct Outcome {
  std::vector<JournalledReading> journal;
  std::string curve, alerts;
};

// A cellar with the rehearsal's batch in a vessel, the daemon running and known to the broker.
struct Batch : WatchedCellar {
  Batch() {
    broker.start();
    start_and_connect();
    const auto file = (dir / "b.toml").string();
    REQUIRE(ask(rehearsal({"--dry-run", "--write-batch", file, "--write-readings", readings()})).exit == 0);
    REQUIRE(ask({"pitch", "--vessel", "left", "--batch", file}).exit == 0);
  }
  std::string readings() const { return (dir / "r.csv").string(); }
  void publish() const { REQUIRE(ask(rehearsal({"--speed", "max"})).exit == 0); }
  Outcome outcome() const {
    return {timed(), ask({"curve", "left"}).text, ask({"alerts", "left", "--json"}).text};
  }
  std::vector<JournalledReading> timed() const {
    auto rows = journal();
    rows.erase(std::remove_if(rows.begin(), rows.end(),
                              [](const auto& row) { return std::get<1>(row) == "bucket"; }),
               rows.end());
    return rows;
  }
  // Distinct rows of the rehearsal's own record.
  std::size_t published() const {
    std::ifstream in(readings());
    std::set<std::string> rows;
    std::string line;
    std::getline(in, line);
    while (std::getline(in, line)) rows.insert(line);
    return rows.size();
  }
};

// The same rehearsal, with nothing happening.
Outcome undisturbed() {
  Batch batch;
  batch.publish();
  const auto unchanged = [&batch, last = std::string("none")]() mutable {
    const std::string now = batch.ask({"curve", "left"}).text;
    return std::exchange(last, now) == now;
  };
  REQUIRE(eventually([&] { return batch.timed().size() == batch.published(); }, kPatience));
  REQUIRE(eventually(unchanged, kPatience));
  Outcome outcome = batch.outcome();
  CHECK(count_of("\n", outcome.alerts) > 2);
  return outcome;
}

// What of one journal is not in the other, as a person can read it.
std::string missing(const std::vector<JournalledReading>& there, const std::vector<JournalledReading>& here) {
  const std::set<JournalledReading> known(here.begin(), here.end());
  std::string text;
  for (const auto& [time_ms, sensor, quantity, value] : there) {
    if (known.count({time_ms, sensor, quantity, value}) == 0) {
      text += std::to_string(time_ms) + " " + sensor + " " + quantity + "; ";
    }
  }
  return text;
}

void check_same(const Batch& batch, const Outcome& expected) {
  const bool whole = eventually([&] { return batch.timed().size() >= batch.published(); }, kPatience);
  INFO("missing: " << missing(expected.journal, batch.timed()));
  REQUIRE(whole);
  // The last of them may be on their way from the journal to the judgement.
  eventually(
      [&] {
        return batch.ask({"alerts", "left", "--json"}).text == expected.alerts;
      },
      std::chrono::seconds(10));
  eventually([&] { return batch.ask({"curve", "left"}).text == expected.curve; }, std::chrono::seconds(10));
  const Outcome outcome = batch.outcome();
  CHECK(outcome.curve == expected.curve);
  CHECK(outcome.alerts == expected.alerts);
  CHECK(outcome.journal == expected.journal);  // the same once each, in the same order
  CHECK(std::set<JournalledReading>(outcome.journal.begin(), outcome.journal.end()).size() ==
        outcome.journal.size());
  CHECK(outcome.journal.size() == batch.published());
}

// When which alert was raised or withdrawn, from lines of JSON.
std::vector<std::string> said(const std::string& lines) {
  std::vector<std::string> all;
  std::istringstream in(lines);
  for (std::string line; std::getline(in, line);) {
    const auto alert = nlohmann::json::parse(line);
    all.push_back(fmt::format("{} {} {}", alert["time"].get<std::string>(), alert["kind"].get<std::string>(),
                              alert["state"].get<std::string>()));
  }
  return all;
}

// A sensor that had sent several messages when the broker went away may send one of them again after the
// others (MQTT 5.0, 4.6 keeps the order within a connection only). Each is in the journal once then, and what
// is concluded is what follows from them in that order.
void check_once_each(const Batch& batch, const Outcome& expected) {
  const bool whole = eventually([&] { return batch.timed().size() >= batch.published(); }, kPatience);
  INFO("missing: " << missing(expected.journal, batch.timed()));
  REQUIRE(whole);
  const auto journal = batch.timed();
  CHECK(journal.size() == batch.published());
  CHECK(std::multiset<JournalledReading>(journal.begin(), journal.end()) ==
        std::multiset<JournalledReading>(expected.journal.begin(), expected.journal.end()));
  std::string csv = "time,sensor,quantity,value\n";
  for (const auto& [time_ms, sensor, quantity, value] : journal) {
    csv += fmt::format("{},{},{},{}\n", gyle::format_rfc3339(gyle::Time(gyle::Duration(time_ms))), sensor,
                       quantity, value);
  }
  const auto path = [&](const char* name) { return (batch.dir / name).string(); };
  std::ofstream(path("order.csv")) << csv;
  REQUIRE(batch
              .ask({"replay", "--batch", path("b.toml"), "--readings", path("order.csv"), "--curve",
                    path("order.curve"), "--alerts", path("order.alerts")})
              .exit == 0);
  const auto content = [&](const char* name) {
    std::ostringstream text;
    text << std::ifstream(path(name)).rdbuf();
    return text.str();
  };
  const std::string curve = content("order.curve");
  const auto alerts = said(content("order.alerts"));
  eventually([&] { return batch.ask({"curve", "left"}).text == curve; }, std::chrono::seconds(10));
  eventually(
      [&] {
        return said(batch.ask({"alerts", "left", "--json"}).text) == alerts;
      },
      std::chrono::seconds(10));
  CHECK(batch.ask({"curve", "left"}).text == curve);
  CHECK(said(batch.ask({"alerts", "left", "--json"}).text) == alerts);
}

}  // namespace

TEST_CASE(
    "killed again and again while a batch is published, the daemon loses, repeats and retracts nothing") {
  const Outcome expected = undisturbed();
  Batch batch;
  // Beside the batch a probe without time stamps, each value five times in a row: content tells nothing.
  std::vector<std::string> untimed;
  for (int i = 0; i < kUntimed; ++i)
    untimed.push_back(std::to_string(i / 5 % 50) + "." + std::to_string(i / 250));
  std::thread other_sensor([&] { batch.broker.publish("probes/bucket/celsius", untimed); });
  Process publisher(batch.command(rehearsal({"--speed", "300000"})), batch.dir / "rehearsal.log");
  std::mt19937 random(3);
  const auto all = static_cast<std::int64_t>(batch.published()) + kUntimed;
  std::int64_t before = 0;
  for (int kill = 0; kill < kKills; ++kill) {
    if (kill > 0) batch.start();
    if (kill % 5 == 4) {  // at any time: also while it starts and connects
      std::this_thread::sleep_for(std::chrono::milliseconds(random() % 100));
    } else {  // while messages come
      const std::int64_t more = 1 + static_cast<std::int64_t>(random() % 60);
      REQUIRE(eventually([&] { return batch.kept() > std::min(before + more, all - kKills + kill); }));
    }
    batch.kill();
    before = batch.kept();
  }
  CHECK(before < all);  // to the last there was something to lose
  other_sensor.join();
  REQUIRE(publisher.wait(kPatience) == 0);
  batch.start();
  check_same(batch, expected);
  std::map<double, int> times;
  REQUIRE(eventually([&] { return batch.kept() >= all; }));
  for (const auto& [time, sensor, quantity, value] : batch.journal())
    times[value] += sensor == "bucket" ? 1 : 0;
  std::size_t values = 0;
  for (const auto& [value, count] : times) {
    CAPTURE(value);
    if (count != 0) CHECK(count == 5);
    values += count != 0 ? 1 : 0;
  }
  CHECK(values == kUntimed / 5);
  batch.end();
}

TEST_CASE("nothing is lost when the broker is stopped and started while a batch is published") {
  const Outcome expected = undisturbed();
  Batch batch;
  Process publisher(batch.command(rehearsal({"--speed", "200000"})), batch.dir / "rehearsal.log");
  for (int restart = 1; restart <= 3; ++restart) {
    const auto enough = static_cast<std::int64_t>(batch.published()) * restart / 4;
    REQUIRE(eventually([&] { return batch.kept() >= enough; }, kPatience));
    batch.broker.stop();
    batch.broker.start();
  }
  CHECK(publisher.wait(kPatience) == 0);
  check_once_each(batch, expected);
  batch.end();
}

TEST_CASE("a batch published while the daemon was away comes from the broker's queue") {
  const Outcome expected = undisturbed();
  Batch batch;
  batch.end();
  batch.publish();
  CHECK(batch.kept() == 0);
  batch.start();
  check_same(batch, expected);
}

TEST_CASE("a batch delivered twice changes nothing") {
  const Outcome expected = undisturbed();
  Batch batch;
  batch.publish();
  batch.publish();
  check_same(batch, expected);
  // What was on its way still would be in the journal before what comes after it.
  batch.broker.publish("probes/bucket/celsius", {"18.5"});
  REQUIRE(eventually([&] { return batch.kept() > static_cast<std::int64_t>(expected.journal.size()); }));
  check_same(batch, expected);
}

// The broker's packet identifiers come round again after 65,535 messages. A probe in a beer that rests sends
// the same number again and again, without a time: neither identifier nor content tells a message from
// another.
TEST_CASE("killed while identifiers come round again, the daemon keeps each of many equal readings once") {
  Batch batch;
  batch.end();
  batch.configure("[ingest]\nreadings_per_hour = 1000000\n");
  batch.start_and_connect();
  constexpr int kFirstRound = 65'535;
  constexpr int kSecondRound = 1500;
  batch.broker.publish("probes/bucket/celsius", std::vector<std::string>(kFirstRound, "18.5"));
  REQUIRE(eventually([&] { return batch.kept() >= kFirstRound; }, std::chrono::seconds(300)));
  std::mt19937 random(5);
  const int kills = std::min(kKills, 20);
  std::int64_t sent = kFirstRound;
  for (int kill = 0; kill < kills; ++kill) {
    const int more = kSecondRound / kills;
    const bool away = kill % 3 == 0;  // and finds them in the broker's queue
    if (away) batch.kill();
    std::thread probe([&] {
      batch.broker.publish("probes/bucket/celsius",
                           std::vector<std::string>(static_cast<std::size_t>(more), "18.5"));
    });
    if (away) {
      probe.join();
      batch.start();
    }
    const auto enough = batch.kept() + 1 + static_cast<std::int64_t>(random() % static_cast<unsigned>(more));
    const bool kept = eventually([&] { return batch.kept() >= std::min(enough, sent + more); });
    batch.kill();
    if (!away) probe.join();
    REQUIRE(kept);
    sent += more;
    batch.start();
  }
  REQUIRE(eventually([&] { return batch.kept() >= sent; }, kPatience));
  // A message that says something else comes after all the others.
  batch.broker.publish("probes/bucket/celsius", {"18.6"});
  REQUIRE(eventually([&] { return std::get<3>(batch.journal().back()) == 18.6; }));
  CHECK(batch.kept() == sent + 1);
  batch.end();
}
