#include "storage/journal.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "messages.h"
#include "storage/repeated_message.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

std::vector<JournalRow> all(Journal& journal,
                            RowQuery query = {{"hydrometer-1", "probe-1"}, {}, 0, 1'000'000}) {
  std::vector<JournalRow> rows;
  REQUIRE(journal.rows(query, [&rows](const JournalRow& row) { rows.push_back(row); }));
  return rows;
}

}  // namespace

TEST_CASE("what is recorded is read back, in order") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  const Decoded decoded{
      {reading(at(100), 1.048),
       reading(at(90), 18.25, TimeQuality::arrival, "probe-1", Quantity::beer_temperature),
       reading(at(80), -3.5, TimeQuality::backlog, "hydrometer-1", Quantity::ambient_temperature)},
      {}};
  const auto added = journal.record(message("{}", at(101)), decoded);
  REQUIRE(added);
  const auto rows = all(journal);
  REQUIRE(rows.size() == 3);
  REQUIRE(added.value().size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CAPTURE(i);
    CHECK(rows[i].id == added.value()[i].id);
    CHECK(rows[i].received == at(101));
    CHECK(rows[i].reading.time == decoded.readings[i].time);
    CHECK(rows[i].reading.sensor == decoded.readings[i].sensor);
    CHECK(rows[i].reading.quantity == decoded.readings[i].quantity);
    CHECK(rows[i].reading.value == decoded.readings[i].value);  // a double comes back as the same double
    CHECK(rows[i].reading.time_quality == decoded.readings[i].time_quality);
  }
  CHECK(rows[0].id < rows[1].id);
  CHECK(rows[1].id < rows[2].id);
}

TEST_CASE("a reading with a time stamp is kept once, however often it comes") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  const Decoded first{{reading(at(0), 1.048)}, {}};
  REQUIRE(journal.record(message("a", at(1)), first).value().size() == 1);
  for (int again = 0; again < 300; ++again) {
    REQUIRE(journal.record(message("a", at(2 + again)), first).value().empty());
  }
  // The same time with another value is another reading, and so is the same value at another time.
  const Decoded others{{reading(at(0), 1.048), reading(at(0), 1.047), reading(at(1), 1.048)}, {}};
  CHECK(journal.record(message("b", at(400)), others).value().size() == 2);
  CHECK(all(journal).size() == 3);
  CHECK(journal.counts().value().readings == 3);
  CHECK(journal.sensors().value().at(0).last == at(400));
}

TEST_CASE("messages without a time are kept each, but not twice when only delivered again") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  const auto deliver = [](Journal& journal, std::uint16_t id, const char* payload, Time received,
                          bool duplicate, bool backlog) {
    Message m = message(payload, received, id);
    m.duplicate = duplicate;
    m.backlog = backlog;
    return journal.record(m, untimed(m)).value().size();
  };
  {
    Database db = open(path);
    Journal journal(db);
    REQUIRE(journal.connected(false));
    CHECK(deliver(journal, 1, "18.5", at(0), false, false) == 1);
    CHECK(deliver(journal, 2, "18.5", at(60), false, false) == 1);  // the beer has not changed
    CHECK(deliver(journal, 3, "18.6", at(120), false, false) == 1);
  }
  // Killed; the broker did not read the last two acknowledgements, and more came meanwhile.
  Database db = open(path);
  Journal journal(db);
  REQUIRE(journal.connected(true));
  CHECK(deliver(journal, 2, "18.5", at(500), true, true) == 0);
  CHECK(deliver(journal, 3, "18.6", at(500), true, true) == 0);
  CHECK(deliver(journal, 4, "18.6", at(500), false, true) == 1);
  CHECK(deliver(journal, 5, "18.6", at(560), false, false) == 1);
  CHECK(journal.counts().value().readings == 5);

  SECTION("a session that the broker forgot starts its identifiers again") {
    REQUIRE(journal.connected(false));
    CHECK(deliver(journal, 4, "18.6", at(600), false, true) == 1);
  }
  SECTION("on a live connection an identifier may be used again at once") {
    REQUIRE(journal.connected(true));
    CHECK(deliver(journal, 5, "18.6", at(900), false, false) == 1);
    CHECK(deliver(journal, 5, "18.6", at(960), false, false) == 1);
  }
}

TEST_CASE("an identifier that comes round again costs no reading, though the value is the same") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  std::int64_t sent = 0;
  const auto deliver = [&](std::uint16_t id, bool duplicate, bool backlog) {
    Message m = message("18.5", at(++sent), id);
    m.duplicate = duplicate;
    m.backlog = backlog;
    return journal.record(m, untimed(m)).value().size();
  };
  REQUIRE(journal.connected(false));
  SECTION("in a queue that waited at the broker") {
    for (int id = 1; id <= 300; ++id) REQUIRE(deliver(static_cast<std::uint16_t>(id), false, false) == 1);
    REQUIRE(journal.connected(true));  // the broker was killed, and counts from the start again
    for (int id = 1; id <= 300; ++id) REQUIRE(deliver(static_cast<std::uint16_t>(id), false, true) == 1);
  }
  SECTION("when it was under way while the daemon was killed") {
    constexpr int kThen = 100;
    for (int id = 1; id <= kThen + kDeliveriesRemembered; ++id) {
      REQUIRE(deliver(static_cast<std::uint16_t>(id), false, false) == 1);
    }
    REQUIRE(journal.connected(true));
    CHECK(deliver(kThen, true, true) == 1);      // of the last round: acknowledged long ago
    CHECK(deliver(kThen + 2, true, true) == 0);  // perhaps not
    CHECK(deliver(kThen + kDeliveriesRemembered, true, true) == 0);
  }
}

TEST_CASE("refusals: the newest are kept, all are counted, redelivery counts once") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db, 5);
  REQUIRE(journal.connected(true));
  for (int i = 0; i < 12; ++i) {
    REQUIRE(journal.record(
        message("1050", at(i), static_cast<std::uint16_t>(i + 1)),
        {{}, {refusal(i % 3 == 0 ? RefusalReason::not_json : RefusalReason::out_of_range, at(i))}}));
  }
  REQUIRE(journal.connected(true));
  Message again = message("1050", at(100), 12);
  again.duplicate = true;
  REQUIRE(journal.record(again, {{}, {refusal(RefusalReason::out_of_range, at(100))}}));

  const auto recent = journal.recent_refusals(100).value();
  REQUIRE(recent.size() == 5);
  CHECK(recent.front().received == at(11));
  CHECK(recent.back().received == at(7));
  CHECK(recent.front().reason == name(RefusalReason::out_of_range));
  CHECK(recent.front().head == "1050");
  CHECK(journal.counts().value().refusals ==
        std::map<std::string, std::int64_t>{{name(RefusalReason::not_json), 4},
                                            {name(RefusalReason::out_of_range), 8}});
}

TEST_CASE("a refused message keeps any bytes, and no more of them than is bounded") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  Refusal odd = refusal(RefusalReason::not_json);
  odd.head = std::string("\0\xff'); DROP TABLE reading; --", 29);
  odd.topic = std::string(510, 'x') + "\xc3\xa9\xc3\xa9";  // cut in front of the second, not inside it
  odd.detail = std::string(1 << 20, 'd');
  REQUIRE(journal.record(message("", at(0)), {{}, {odd}}));
  const auto kept = journal.recent_refusals(1).value().at(0);
  CHECK(kept.head == odd.head);
  CHECK(kept.topic == odd.topic.substr(0, 512));
  CHECK(kept.detail.size() == 512);
  CHECK(journal.counts().value().readings == 0);
}

TEST_CASE("rows are chosen by sensor, arrival, place and number") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  for (int i = 0; i < 10; ++i) {
    const char* sensor = i % 2 == 0 ? "hydrometer-1" : "probe-1";
    REQUIRE(journal.record(message("", at(i)),
                           {{reading(at(i), 1.0 + i / 1000.0, TimeQuality::stamped, sensor)}, {}}));
  }
  CHECK(all(journal, {{"hydrometer-1"}, {}, 0, 100}).size() == 5);
  CHECK(all(journal, {{"hydrometer-1", "probe-1"}, at(4), 0, 100}).size() == 6);
  CHECK(all(journal, {{"unheard-of"}, {}, 0, 100}).empty());
  CHECK(all(journal, {{}, {}, 0, 100}).empty());

  std::int64_t last = 0;
  std::vector<double> paged;
  for (;;) {
    const auto next = journal.rows({{"hydrometer-1", "probe-1"}, {}, last, 3},
                                   [&paged](const JournalRow& row) { paged.push_back(row.reading.value); });
    REQUIRE(next);
    if (next.value() == last) break;
    last = next.value();
  }
  REQUIRE(paged.size() == 10);
  CHECK(std::is_sorted(paged.begin(), paged.end()));
}

TEST_CASE("a value that is no number is turned away before the journal") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  const double bad =
      GENERATE(std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity());
  const auto refused = journal.record(message("", at(0)), {{reading(at(0), 1.048), reading(at(0), bad)}, {}});
  REQUIRE(!refused);
  CHECK(refused.error().code == Errc::out_of_range);
  CHECK(journal.counts().value().readings == 0);
}

TEST_CASE("the newest reading of each sensor and quantity") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  const Decoded decoded{
      {reading(at(0), 1.048), reading(at(10), 1.047),
       reading(at(5), 18.0, TimeQuality::stamped, "hydrometer-1", Quantity::beer_temperature),
       reading(at(7), 1.030, TimeQuality::stamped, "probe-1")},
      {}};
  REQUIRE(journal.record(message("", at(11)), decoded));
  auto newest = journal.newest_of_each().value();
  std::sort(newest.begin(), newest.end(),
            [](const JournalRow& a, const JournalRow& b) { return a.id < b.id; });
  REQUIRE(newest.size() == 3);
  CHECK(newest[0].reading.value == 1.047);
  CHECK(newest[1].reading.value == 18.0);
  CHECK(newest[2].reading.sensor == "probe-1");
}

TEST_CASE("a sensor that is forgotten is listed again when it is heard, and its readings stay") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  REQUIRE(journal.record(message("a", at(1)), {{reading(at(0), 1.048)}, {}}));
  REQUIRE(journal.forget("hydrometer-1"));
  REQUIRE(journal.forget("never heard"));
  CHECK(journal.newest_of_each().value().empty());
  CHECK(journal.sensors().value().empty());
  CHECK(all(journal).size() == 1);
  REQUIRE(journal.record(message("b", at(11)), {{reading(at(10), 1.047)}, {}}));
  CHECK(journal.newest_of_each().value().size() == 1);
  CHECK(journal.sensors().value().size() == 1);
}
