#include "storage/note_store.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

std::int64_t pitch(Database& db, const char* vessel) {
  return BatchStore(db).pitch({vessel, vessel, at(0), ""}).value();
}

}  // namespace

TEST_CASE("notes come in the order of what they are about, each batch its own") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto left = pitch(db, "left");
  const auto right = pitch(db, "right");
  NoteStore notes(db);
  REQUIRE(notes.add(left, at(300), "later"));
  REQUIRE(notes.add(right, at(200), "another's"));
  REQUIRE(notes.add(left, at(100), "earlier"));
  REQUIRE(notes.add(left, at(300), "Wei\xc3\x9f und \"gut\"; DROP TABLE note"));
  Database again = open(dir / "journal.db");
  const auto kept = NoteStore(again).of(left).value();
  REQUIRE(kept.size() == 3);
  CHECK(kept[0].text == "earlier");
  CHECK(kept[1].text == "later");
  CHECK(kept[2].text == "Wei\xc3\x9f und \"gut\"; DROP TABLE note");
  CHECK(kept[2].time == at(300));
  CHECK(notes.of(right).value().size() == 1);
  CHECK(notes.of(99).value().empty());
}

TEST_CASE("a note is written once, and only about a batch that there is") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto batch = pitch(db, "left");
  NoteStore notes(db);
  REQUIRE(notes.add(batch, at(1), "yeast rinsed"));
  CHECK(notes.add(batch, at(1), "yeast rinsed").error().code == Errc::conflict);
  CHECK(notes.add(batch + 1, at(1), "yeast rinsed").error().code == Errc::not_found);
  CHECK(notes.of(batch).value().size() == 1);
}

TEST_CASE("a note that could not be stored is not there, and can be written again") {
  const TempDir dir;
  FailingDisk disk;
  Database db = open(dir / "journal.db");
  const auto batch = pitch(db, "left");
  NoteStore notes(db);
  FailingDisk::fail_from(1, SQLITE_FULL);
  CHECK(notes.add(batch, at(1), "yeast rinsed").error().code == Errc::storage);
  FailingDisk::heal();
  CHECK(notes.of(batch).value().empty());
  CHECK(notes.add(batch, at(1), "yeast rinsed"));
}
