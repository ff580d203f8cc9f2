#include "storage/set_point_store.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

const Ask kWarm{1, Celsius{22}};
const Ask kCold{2, Celsius{3.3}};

std::int64_t pitch(Database& db, const char* vessel, const char* name) {
  return BatchStore(db).pitch({vessel, name, at(0), ""}).value();
}

}  // namespace

TEST_CASE("what was asked and confirmed is known after a restart, for each batch") {
  const TempDir dir;
  std::int64_t left = 0;
  std::int64_t right = 0;
  {
    Database db = open(dir / "journal.db");
    left = pitch(db, "left", "a");
    right = pitch(db, "right", "b");
    SetPointStore store(db);
    CHECK_FALSE(store.past(left, "left").value().asked.has_value());
    CHECK_FALSE(store.asked_since(left).value().has_value());
    REQUIRE(store.confirm(left, kWarm, at(100)));
    REQUIRE(store.asked(left, kWarm, at(110)));
    REQUIRE(store.asked(left, kCold, at(500)));
  }
  Database db = open(dir / "journal.db");
  SetPointStore store(db);
  const SetPointPast past = store.past(left, "left").value();
  CHECK(past.asked == kCold);
  CHECK(past.confirmed == kWarm);
  CHECK(past.changed == at(500));
  CHECK_FALSE(past.sent.has_value());
  CHECK(store.asked_since(left).value() == at(500));
  CHECK_FALSE(store.past(right, "right").value().asked.has_value());
  CHECK_FALSE(store.past(right, "right").value().changed.has_value());
}

TEST_CASE("the last counts, also when it has been there before") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto left = pitch(db, "left", "a");
  SetPointStore store(db);
  const Ask other{1, Celsius{20}};
  REQUIRE(store.asked(left, kWarm, at(100)));
  REQUIRE(store.asked(left, other, at(200)));
  REQUIRE(store.asked(left, kWarm, at(300)));
  CHECK(store.past(left, "left").value().asked == kWarm);
  CHECK(store.past(left, "left").value().changed == at(300));
}

TEST_CASE("a change counts for the vessel, whichever batch it was for") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const auto first = pitch(db, "left", "a");
  SetPointStore store(db);
  REQUIRE(store.asked(first, kWarm, at(100)));
  REQUIRE(BatchStore(db).package(first, at(200)));
  const auto second = pitch(db, "left", "b");
  const SetPointPast past = store.past(second, "left").value();
  CHECK(past.changed == at(100));
  CHECK_FALSE(past.asked.has_value());
}

TEST_CASE("nothing is noted of a batch that is not there") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  CHECK(SetPointStore(db).confirm(5, kWarm, at(1)).error().code == Errc::not_found);
}
