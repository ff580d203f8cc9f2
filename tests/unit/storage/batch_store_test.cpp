#include "storage/batch_store.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

TEST_CASE("a batch from pitch to package") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  BatchStore store(db);
  const std::string spec = "name = \"Amber no. 12\"\n# a comment with 'quotes' and \xc2\xb0\n";
  const auto id = store.pitch({"left", "Amber no. 12", at(0), spec});
  REQUIRE(id);

  SECTION("is open, and found by name and number") {
    REQUIRE(store.open().value().size() == 1);
    const StoredBatch batch = store.find("Amber no. 12").value();
    CHECK(batch.id == id.value());
    CHECK(batch.vessel == "left");
    CHECK(batch.pitched == at(0));
    CHECK(batch.spec == spec);
    CHECK_FALSE(batch.packaged);
    CHECK(store.find(std::to_string(id.value())).value().name == "Amber no. 12");
    CHECK(store.find("amber no.").error().code == Errc::not_found);
    CHECK(store.find("").error().code == Errc::not_found);
  }
  SECTION("keeps its vessel to itself") {
    const auto second = store.pitch({"left", "Pier porter", at(100), ""});
    REQUIRE(!second);
    CHECK(second.error().code == Errc::conflict);
    CHECK_THAT(second.error().message, Catch::Contains("Amber no. 12"));
    CHECK(store.pitch({"right", "Amber no. 12", at(100), ""}).error().code == Errc::conflict);
    CHECK(store.pitch({"right", "Pier porter", at(100), ""}));
    CHECK(store.open().value().size() == 2);
  }
  SECTION("ends once") {
    CHECK(store.package(id.value(), at(-1)).error().code == Errc::out_of_range);
    CHECK(store.package(id.value() + 1, at(10)).error().code == Errc::not_found);
    REQUIRE(store.package(id.value(), at(1'000'000)));
    CHECK(store.package(id.value(), at(1'000'001)).error().code == Errc::conflict);
    CHECK(store.open().value().empty());
    CHECK(store.all().value().at(0).packaged == at(1'000'000));
    // Its vessel and its name are free again; the name now means the newer one.
    const auto next = store.pitch({"left", "Amber no. 12", at(2'000'000), ""});
    REQUIRE(next);
    CHECK(store.find("Amber no. 12").value().id == next.value());
  }
}

TEST_CASE("batches survive a restart") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    REQUIRE(BatchStore(db).pitch({"left", "Amber no. 12", at(5), "text"}));
  }
  Database db = open(dir / "journal.db");
  const auto batches = BatchStore(db).open().value();
  REQUIRE(batches.size() == 1);
  CHECK(batches[0].spec == "text");
}
