#include "app/thin_readings.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <map>

#include "app/watch.h"
#include "base/rfc3339.h"
#include "rehearsal/rehearsal.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

// A packaged batch with a reading every five minutes for three weeks; in its last days another vessel's batch uses
// the same probe, and is still open.
struct OldCellar {
  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  std::unique_ptr<Watch> watch;
  Time end;

  OldCellar() {
    RehearsalOptions options;
    options.seed = 7;
    options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
    options.interval = minutes(5);
    const Rehearsal rehearsal = rehearse(options).value();
    Journal journal(database);
    Message message;
    for (const auto& one : rehearsal.messages) {
      message.received = one.delivered;
      if (!journal.record(message, {one.readings, {}})) throw std::runtime_error("not recorded");
    }
    end = message.received;
    restart();
    REQUIRE(watch->pitch("cellar", rehearsal.spec));
    REQUIRE(watch->sample(1, SpecificGravity::unchecked(1.02), end - days(12), end));
    BatchSpec attic = rehearsal.spec;
    attic.name = "Attic stout";
    attic.pitched = end - days(3);
    REQUIRE(watch->pitch("attic", attic));
    REQUIRE(watch->package(1, end));
  }
  void restart() {
    watch = std::make_unique<Watch>(database, AlertRouting({{"log", {}, false, false, false, LogSettings{}}}),
                                    [] {});
    REQUIRE(watch->configure({{"cellar", {"hydrometer", "probe"}}, {"attic", {"probe"}}}, {}));
    REQUIRE(watch->open());
  }
  StoredBatch batch(const std::string& id) { return BatchStore(database).find(id).value(); }
  std::string ending() {
    return ending_json({watch->view(batch("1")).value(), watch->yeast_run(batch("1")).value()});
  }
  BatchTrace trace(const std::string& id) { return *watch->trace(batch(id)).value(); }
  std::vector<JournalRow> rows() {
    std::vector<JournalRow> all;
    REQUIRE(Journal(database).rows({{"hydrometer", "probe", "hand:cellar"}, {}, 0, 1'000'000},
                                   [&](const JournalRow& row) { all.push_back(row); }));
    return all;
  }
};

constexpr auto kEvery = minutes(15);

}  // namespace

TEST_CASE("thinning keeps the end and the course of an old batch, and all that another batch uses") {
  OldCellar cellar;
  const ThinningRule rule{cellar.end + days(1), kEvery};
  const std::string ending = cellar.ending();
  const std::string course = course_json(cellar.trace("1").reduced(1500));
  const BatchTrace attic = cellar.trace("2");
  const auto before = cellar.rows();
  const std::int64_t accepted = Journal(cellar.database).counts().value().readings;
  REQUIRE(attic.ambient().size() + attic.beer().size() > 100);
  cellar.watch.reset();

  const auto counted = thin_readings(cellar.database, rule, {}, false).value();
  REQUIRE(cellar.rows().size() == before.size());
  const auto thinned = thin_readings(cellar.database, rule, {}, true).value();
  REQUIRE(thinned.size() == 1);
  CHECK(thinned[0].id == 1);
  CHECK(thinned[0].readings.before == counted.at(0).readings.before);
  CHECK(thinned[0].readings.after == counted.at(0).readings.after);
  const auto after = cellar.rows();
  CHECK(static_cast<std::int64_t>(before.size() - after.size()) ==
        thinned[0].readings.before - thinned[0].readings.after);
  CHECK(after.size() < before.size() / 2);
  REQUIRE(cellar.database.check());

  // One of each quantity in a quarter of an hour, the first; all of the probe since the other batch began.
  std::map<std::tuple<std::string, Quantity, std::int64_t>, int> in_each, were_in_each;
  const auto slot = [](const JournalRow& row) {
    return std::tuple(row.reading.sensor, row.reading.quantity, row.reading.time.time_since_epoch() / kEvery);
  };
  for (const JournalRow& row : before) ++were_in_each[slot(row)];
  std::size_t of_the_probe = 0;
  for (const JournalRow& row : after) {
    ++in_each[slot(row)];
    if (row.reading.sensor == "probe" && row.received >= cellar.end - days(3)) ++of_the_probe;
  }
  CHECK(in_each.size() == were_in_each.size());
  const auto newest = Journal(cellar.database).newest_of_each().value();
  for (const JournalRow& row : newest) in_each[slot(row)] = 1;  // it stays
  for (const auto& [where, count] : in_each) {
    const auto& [sensor, quantity, number] = where;
    const Time time{kEvery * number};
    if (sensor == "probe" && time >= cellar.end - days(3) - kEvery) continue;
    CAPTURE(sensor, name(quantity), format_rfc3339(time));
    if (count > 1) REQUIRE(count == 1);
  }
  CHECK(of_the_probe ==
        static_cast<std::size_t>(std::count_if(before.begin(), before.end(), [&](const JournalRow& r) {
          return r.reading.sensor == "probe" && r.received >= cellar.end - days(3);
        })));
  CHECK(std::count_if(after.begin(), after.end(),
                      [](const JournalRow& r) { return r.reading.quantity == Quantity::sample; }) == 1);
  CHECK(Journal(cellar.database).counts().value().readings == accepted);
  CHECK(Journal(cellar.database).newest_of_each().value().size() >= 4);

  cellar.restart();
  CHECK(cellar.ending() == ending);
  CHECK(course_json(cellar.trace("1")) == course);
  CHECK(course_json(cellar.trace("2")) == course_json(attic));

  // A second time there is nothing left to take. After an amendment the course is made from what is left.
  CHECK(thin_readings(cellar.database, rule, {}, true).value().empty());
  REQUIRE(JudgingLog(cellar.database).call_for(1));
  cellar.restart();
  CHECK(cellar.trace("1").whole());
  CHECK(cellar.trace("1").curve().size() > 1500);
  CHECK(cellar.watch->view(cellar.batch("1")).value().stage == Stage::finished);
}

TEST_CASE("batches that are open, too young or small keep all of their readings") {
  OldCellar cellar;
  const std::size_t all = cellar.rows().size();
  cellar.watch.reset();
  const auto refused = [&](const ThinningRule& rule, const char* batch) {
    const auto thinned = thin_readings(cellar.database, rule, std::string(batch), true);
    return thinned ? std::string() : thinned.error().message;
  };
  CHECK_THAT(refused({cellar.end + days(1), kEvery}, "Attic stout"), Catch::Contains("is in its vessel"));
  CHECK_THAT(refused({cellar.end - days(1), kEvery}, "1"), Catch::Contains("was packaged on 2026-"));
  CHECK_THAT(refused({cellar.end, kEvery}, "Best bitter"), Catch::Contains("no batch"));
  CHECK(thin_readings(cellar.database, {cellar.end - days(1), kEvery}, {}, true).value().empty());
  CHECK(thin_readings(cellar.database, {cellar.end + days(1), minutes(5)}, {}, true).value().empty());
  CHECK(cellar.rows().size() == all);
}
