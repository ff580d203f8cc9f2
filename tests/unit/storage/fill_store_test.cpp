#include "storage/fill_store.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/note_store.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

std::int64_t pitch(Database& db, const char* vessel) {
  return BatchStore(db).pitch({vessel, vessel, at(0), ""}).value();
}

const Fill kBottles{at(300), Container::bottles, 22, 0.5, GasSource::priming, Celsius{18}};
const Fill kKeg{at(200), Container::keg, 1, 11, GasSource::cylinder, Celsius{4}};

}  // namespace

TEST_CASE("fills come in order of time, each batch its own, and survive a restart") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto left = pitch(db, "left");
  const auto right = pitch(db, "right");
  FillStore fills(db);
  REQUIRE(fills.add(left, kBottles));
  REQUIRE(fills.add(left, kKeg));
  REQUIRE(fills.add(right, kKeg));
  Database again = open(dir / "journal.db");
  const auto kept = FillStore(again).of(left).value();
  REQUIRE(kept.size() == 2);
  CHECK(kept[0].fill == kKeg);
  CHECK(kept[1].fill == kBottles);
  CHECK(fills.of(right).value().size() == 1);
  CHECK(fills.batches_filled_last(9).value() == std::vector<std::int64_t>{left, right});
  CHECK(fills.batches_filled_last(1).value() == std::vector<std::int64_t>{left});
}

TEST_CASE("a fill that is entered twice counts once, until it is taken back") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto left = pitch(db, "left");
  const auto right = pitch(db, "right");
  FillStore fills(db);
  const auto first = fills.add(left, kBottles).value();
  CHECK(fills.add(left, kBottles).error().code == Errc::conflict);
  CHECK(fills.add(99, kBottles).error().code == Errc::not_found);
  CHECK(fills.take_back(right, first).error().code == Errc::not_found);
  REQUIRE(fills.take_back(left, first));
  CHECK(fills.of(left).value().empty());
  CHECK(fills.take_back(left, first).error().code == Errc::not_found);
  const auto second = fills.add(left, kBottles);
  REQUIRE(second);
  CHECK(second.value() > first);
}

TEST_CASE("a note about the taste stays one") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto left = pitch(db, "left");
  NoteStore notes(db);
  REQUIRE(notes.add(left, at(100), "Bottled."));
  REQUIRE(notes.add(left, at(200), "Bread crust.", true));
  const auto kept = notes.of(left).value();
  REQUIRE(kept.size() == 2);
  CHECK_FALSE(kept[0].tasting);
  CHECK(kept[1].tasting);
}
