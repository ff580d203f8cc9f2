#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "messages.h"
#include "storage/journal.h"
#include "storage/migration.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
namespace fs = std::filesystem;

namespace {

// Values that sensors send, and any others that a double can have.
double any_value(std::mt19937& random) {
  const auto uniform = [&](double low, double high) {
    return std::uniform_real_distribution<>(low, high)(random);
  };
  switch (random() % 8) {
    case 0:
      return std::round(uniform(0.99, 1.15) * 1e4) / 1e4;
    case 1:
      return std::round(uniform(-20, 100) * 100) / 100;
    case 2:
      return std::round(uniform(-400, 1600)) / 16;
    case 3:
      return static_cast<double>(random() % 2'000'000'000);
    case 4:
      return std::ldexp(uniform(-1, 1), static_cast<int>(random() % 2000) - 1000);
    case 5:
      return std::round(uniform(-1, 1) * 1e7) / 1e7;
    default:
      return uniform(-100, 100);
  }
}

bool same(const Reading& a, const Reading& b) {
  return a.time == b.time && a.sensor == b.sensor && a.quantity == b.quantity && a.value == b.value &&
         a.time_quality == b.time_quality;
}

std::vector<JournalRow> rows_of(Journal& journal, std::int64_t page) {
  std::vector<JournalRow> rows;
  RowQuery query{{"hydrometer-1", "probe-1", "probe-2"}, {}, 0, page};
  for (std::int64_t before = -1; before != query.after_id;) {
    before = query.after_id;
    query.after_id = journal.rows(query, [&](const JournalRow& row) { rows.push_back(row); }).value();
  }
  return rows;
}

std::vector<Reading> any_readings(int count) {
  std::mt19937 random(13);
  const char* const sensors[] = {"hydrometer-1", "probe-1", "probe-2"};
  std::vector<Reading> readings;
  for (int i = 0; i < count; ++i) {
    Time time = at(30 * i);
    if (random() % 10 == 0) time += seconds(static_cast<int>(random() % 40'000'000) - 20'000'000);
    readings.push_back({time, sensors[random() % 3], static_cast<Quantity>(random() % 5), any_value(random),
                        static_cast<TimeQuality>(random() % 3)});
  }
  return readings;
}

}  // namespace

// Every double comes back as it was, so that it is recognised when it comes again.
TEST_CASE("any value is kept exactly, and known again") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  const std::vector<Reading> readings = any_readings(3000);
  for (const Reading& one : readings) REQUIRE(journal.record(message("", one.time), {{one}, {}}));
  const auto rows = rows_of(journal, 100'000);
  REQUIRE(rows.size() == readings.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CAPTURE(i, readings[i].value);
    REQUIRE(same(rows[i].reading, readings[i]));
    if (readings[i].time_quality != TimeQuality::stamped) continue;
    REQUIRE(journal.record(message("", at(90'000'000)), {{readings[i]}, {}}).value().empty());
  }
}

TEST_CASE("equal but for a bit is another reading") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  // The second is a whole number that is kept as it is; the first becomes the same number in millionths.
  const auto pair = GENERATE(values<std::pair<double, double>>(
      {{1.048, std::nextafter(1.048, 2)}, {5000.0, 5e9}, {1e-6, 1e-7}, {0.0, 1e-300}}));
  CAPTURE(pair.first, pair.second);
  REQUIRE(journal.record(message("", at(0)), {{reading(at(0), pair.first)}, {}}).value().size() == 1);
  REQUIRE(journal.record(message("", at(0)), {{reading(at(0), pair.second)}, {}}).value().size() == 1);
  REQUIRE(journal.record(message("", at(0)), {{reading(at(0), pair.second)}, {}}).value().empty());
}

TEST_CASE("the readings of an older database keep their numbers, order and values, and are known again") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  const std::vector<Reading> readings = any_readings(3000);
  {
    SQLite::Database old(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    REQUIRE(storage::migrate(old, 12));
    old.exec("BEGIN");
    SQLite::Statement word(old, "INSERT OR IGNORE INTO word(text) VALUES (?)");
    SQLite::Statement add(old,
                          "INSERT INTO reading(id, received_ms, time_ms, sensor, quantity, value, "
                          "time_quality) VALUES (?, ?, ?, (SELECT id FROM word WHERE text = ?), "
                          "(SELECT id FROM word WHERE text = ?), ?, ?)");
    for (std::size_t i = 0; i < readings.size(); ++i) {
      for (const std::string& text : {readings[i].sensor, std::string(name(readings[i].quantity))}) {
        word.bind(1, text);
        word.exec();
        word.reset();
      }
      add.bind(1, static_cast<std::int64_t>(2 * i + 1));
      add.bind(2, at(static_cast<int>(i)).time_since_epoch().count());
      add.bind(3, readings[i].time.time_since_epoch().count());
      add.bind(4, readings[i].sensor);
      add.bind(5, name(readings[i].quantity));
      add.bind(6, readings[i].value);
      add.bind(7, static_cast<int>(readings[i].time_quality));
      add.exec();
      add.reset();
    }
    old.exec(
        "INSERT INTO sensor SELECT id, 1000 FROM word WHERE text IN ('hydrometer-1', 'probe-1');"
        "INSERT INTO amended_sample VALUES (11, 1772000000000, 1.02), (13, 0, NULL); COMMIT");
  }
  Database db = open(path);
  REQUIRE(db.check());
  Journal journal(db);
  const auto rows = rows_of(journal, GENERATE(100'000, 77));
  REQUIRE(rows.size() == readings.size() - 1);  // one was taken back
  std::size_t next = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (2 * i + 1 == 13) continue;
    const JournalRow& row = rows[next++];
    CAPTURE(i, readings[i].value);
    REQUIRE(row.id == static_cast<std::int64_t>(2 * i + 1));
    REQUIRE(row.received == at(static_cast<int>(i)));
    if (row.id == 11) {
      CHECK(row.reading.value == 1.02);
      CHECK(row.reading.time == at(0));
      continue;
    }
    REQUIRE(same(row.reading, readings[i]));
  }
  for (const Reading& one : readings) {
    if (one.time_quality != TimeQuality::stamped) continue;
    CAPTURE(one.value);
    REQUIRE(journal.record(message("", at(90'000'000)), {{one}, {}}).value().empty());
  }
  const auto heard = journal.sensors().value();
  REQUIRE(heard.size() == 2);  // the third had been forgotten
  CHECK(heard[0].sensor == "hydrometer-1");
  CHECK(journal.newest_of_each().value().size() == 10);
  CHECK(journal.counts().value().readings == 5999);
}

// The gate of the size, indexes included: a hydrometer with its temperature, and probes.
TEST_CASE("a reading takes 45 bytes at most") {
  const int sensors = GENERATE(3, 500);
  CAPTURE(sensors);
  const TempDir dir;
  constexpr int kReadings = 30'000;
  std::mt19937 random(1);
  {
    Database db = open(dir / "journal.db");
    Journal journal(db);
    std::int64_t ms = 1'772'000'000'000;
    std::vector<Reading> together;  // fewer commits than live, which changes nothing of the size
    for (int i = 0; i < kReadings; i += 2) {
      ms += 60'000 / sensors;
      const Time stamp = Time(Duration(ms));
      const std::string sensor = fmt::format("sensor-{}", i / 2 % sensors);
      together.push_back({stamp, sensor, Quantity::gravity,
                          std::round((1.048 - i * 1e-6) * 1e4 + static_cast<int>(random() % 7) - 3) / 1e4});
      together.push_back({stamp, sensor, Quantity::beer_temperature,
                          std::round(1800 + static_cast<int>(random() % 200) - 100) / 100});
      if (together.size() < 500) continue;
      REQUIRE(journal.record(message("", stamp + Duration(100 + random() % 1500)), {together, {}}));
      together.clear();
    }
  }
  const auto bytes = static_cast<double>(fs::file_size(dir / "journal.db"));
  const TempDir empty;
  open(empty / "journal.db");
  CHECK((bytes - static_cast<double>(fs::file_size(empty / "journal.db"))) / kReadings < 45);
}
