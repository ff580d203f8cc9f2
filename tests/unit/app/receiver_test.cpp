#include "app/receiver.h"

#include <sqlite3.h>

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using Catch::Contains;

namespace {

struct Bench {
  const test::FailingDisk disk;
  test::TempDir dir;
  std::vector<Received> received;
  std::vector<std::string> database;
  std::vector<std::optional<Time>> shown;  // by messages, while the clock is behind
  int unstorable = 0;
  std::unique_ptr<Receiver> receiver;

  Bench() {
    Source source;
    source.filter = "cellar/+/gravity";
    source.format = Source::Format::number;
    source.sensor = SensorFromLevel{1};
    source.fields = {{Quantity::gravity, "", Unit::specific_gravity}};
    Source senml;
    senml.filter = "cellar/+/senml";
    receiver = std::make_unique<Receiver>(
        Database::open(dir / "j.db").value(), 100, 7200, std::vector<Source>{source, senml}, nullptr,
        Receiver::Handlers{[this](Received&& one) { received.push_back(std::move(one)); },
                           [this](const std::string& trouble) { database.push_back(trouble); },
                           [this] { ++unstorable; },
                           [this](std::optional<Time> time) { shown.push_back(time); }});
  }

  Status take(const char* payload) {
    Message message{"cellar/hydrometer/gravity", payload, parse_rfc3339("2026-03-01T18:30:00Z").value()};
    return receiver->take(message);
  }
  void execute(const char* sql) {
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open((dir / "j.db").c_str(), &db) == SQLITE_OK);
    REQUIRE(sqlite3_exec(db, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
    sqlite3_close(db);
  }
  JournalCounts counts() {
    Database looking = std::move(Database::open(dir / "j.db").value());
    return Journal(looking).counts().value();
  }
};

// Like a fault of ours or of the database that no retry can help.
constexpr const char* kNeverThis =
    "CREATE TRIGGER never BEFORE INSERT ON reading WHEN NEW.value = 1030000 BEGIN SELECT RAISE(ABORT, 'never "
    "this'); END";

}  // namespace

TEST_CASE("a message that can never be stored is refused with its reason, and the others go on") {
  Bench bench;
  bench.execute(kNeverThis);
  CHECK(bench.take("1.0480"));
  CHECK(bench.take("1.0300"));
  CHECK(bench.take("1.0470"));
  CHECK(bench.counts().readings == 2);
  CHECK(bench.counts().refusals.at("not_storable") == 1);
  CHECK(bench.unstorable == 1);
  CHECK(bench.database.empty());
  REQUIRE(bench.received.size() == 3);
  CHECK(bench.received[1].refused == 1);
  Database looking = std::move(Database::open(bench.dir / "j.db").value());
  const RefusalRow row = Journal(looking).recent_refusals(1).value().at(0);
  CHECK(row.topic == "cellar/hydrometer/gravity");
  CHECK_THAT(row.detail, Contains("never this"));
  CHECK(row.head == "1.0300");
}

TEST_CASE("a message that cannot even be refused is held, not dropped") {
  Bench bench;
  bench.execute(kNeverThis);
  bench.execute(
      "CREATE TRIGGER nor_that BEFORE INSERT ON refusal BEGIN SELECT RAISE(ABORT, 'nor that'); END");
  const auto held = bench.take("1.0300");
  REQUIRE(!held);
  CHECK(held.error().worth_retrying());
  CHECK(bench.received.empty());
}

TEST_CASE(
    "a clock that is behind is reported when messages begin to wait for it, and when they no longer do") {
  Bench bench;
  const Time stamp = parse_rfc3339("2026-03-01T18:30:00Z").value();
  Message message{"cellar/float/senml", R"([{"n":"float:gravity","bt":1772389800,"v":1.048}])",
                  parse_rfc3339("2020-01-01T00:00:00Z").value()};
  for (int i = 0; i < 3; ++i) {
    CHECK_FALSE(bench.receiver->take(message).has_value());
    message.received += seconds(2);
  }
  CHECK(bench.shown == std::vector<std::optional<Time>>{stamp});
  message.received = stamp + seconds(1);  // now it is set
  CHECK(bench.receiver->take(message));
  CHECK(bench.shown == std::vector<std::optional<Time>>{stamp, std::nullopt});
  CHECK(bench.counts().readings == 1);
}

TEST_CASE("while nothing can be stored messages are held, and why is reported once") {
  Bench bench;
  SECTION("the disk is full") {
    test::FailingDisk::fail_from(1, SQLITE_FULL);
    CHECK(bench.take("1.0480").error().worth_retrying());
    CHECK(bench.take("1.0480").error().worth_retrying());
    test::FailingDisk::heal();
  }
  SECTION("the database was moved") {
    std::filesystem::rename(bench.dir / "j.db", bench.dir / "away.db");
    CHECK(bench.take("1.0480").error().worth_retrying());
    CHECK(bench.take("1.0480").error().worth_retrying());
    std::filesystem::rename(bench.dir / "away.db", bench.dir / "j.db");
  }
  CHECK(bench.received.empty());
  REQUIRE(bench.database.size() == 1);
  CHECK_FALSE(bench.database[0].empty());
  CHECK(bench.take("1.0480"));
  REQUIRE(bench.database.size() == 2);
  CHECK(bench.database[1].empty());
  CHECK(bench.counts().readings == 1);
  CHECK(bench.unstorable == 0);
}
