#include "control/reference.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

BatchRecord batch(std::int64_t id, const char* vessel, const char* name, bool packaged) {
  BatchRecord record;
  record.id = id;
  record.vessel = vessel;
  record.spec.name = name;
  if (packaged) record.packaged = Time{};
  return record;
}

}  // namespace

TEST_CASE("a batch is found by vessel, name or number, open before packaged, new before old") {
  const std::vector<BatchRecord> batches{
      batch(1, "left", "Amber", true), batch(2, "left", "Amber", true),  batch(3, "left", "Pale", false),
      batch(4, "right", "2", false),   batch(5, "Pale", "Stout", false), batch(6, "third", "Old", true),
  };
  struct Row {
    const char* reference;
    std::int64_t id;
  };
  const auto row = GENERATE(values<Row>({{"left", 3},
                                         {"right", 4},
                                         {"Amber", 2},
                                         {"1", 1},
                                         {"2", 2},
                                         {"#2", 2},
                                         {"Pale", 5},
                                         {"Stout", 5},
                                         {"Old", 6},
                                         {"3", 3}}));
  CAPTURE(row.reference);
  const auto found = find_batch(batches, row.reference);
  REQUIRE(found);
  CHECK(found.value().id == row.id);
}

TEST_CASE("a batch called by another's number does not hide it") {
  const std::vector<BatchRecord> batches{batch(5, "left", "Amber", true), batch(6, "left", "5", false),
                                         batch(7, "5", "Stout", false)};
  CHECK(find_batch(batches, "#5").value().id == 5);
  CHECK(find_batch(batches, "5").value().id == 7);  // a vessel, where most is done
  CHECK(find_batch(std::span(batches).first(2), "5").value().id == 5);
}

TEST_CASE("names are matched regardless of case where that leaves one") {
  const std::vector<BatchRecord> batches{batch(1, "Left", "Amber", true), batch(2, "Left", "Amber", false),
                                         batch(3, "right", "Pale", false), batch(4, "third", "PALE", false)};
  CHECK(find_batch(batches, "left").value().id == 2);
  CHECK(find_batch(batches, "AMBER").value().id == 2);
  CHECK(find_batch(batches, "Pale").value().id == 3);
  CHECK(find_batch(batches, "PALE").value().id == 4);
  const auto both = find_batch(batches, "pale");
  REQUIRE_FALSE(both);
  CHECK(both.error().code == Errc::conflict);
}

TEST_CASE("an unknown batch is refused with the names there are") {
  const std::vector<BatchRecord> batches{batch(1, "left", "Amber", false), batch(2, "right", "Gone", true)};
  const auto found = find_batch(batches, "middle");
  REQUIRE_FALSE(found);
  CHECK(found.error().code == Errc::not_found);
  CHECK_THAT(found.error().message,
             Catch::Contains("'middle'") && Catch::Contains("\"Amber\" in left") && !Catch::Contains("Gone"));
  CHECK_FALSE(find_batch({}, ""));
  CHECK_FALSE(find_batch(batches, "third"));  // a vessel that holds nothing
}
