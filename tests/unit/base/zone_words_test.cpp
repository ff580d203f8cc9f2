#include "base/zone_words.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a time zone is named by its place, without underscores") {
  struct Row {
    const char* name;
    const char* words;
  };
  const auto row = GENERATE(values<Row>({{"America/New_York", "New York time"},
                                         {"America/Argentina/Buenos_Aires", "Buenos Aires time"},
                                         {"Europe/Zurich", "Zurich time"},
                                         {"America/Port-au-Prince", "Port-au-Prince time"},
                                         {"UTC", "UTC"},
                                         {"Etc/UTC", "UTC"},
                                         {"Etc/GMT+3", "Etc/GMT+3"},
                                         {"CET", "CET"},
                                         {"", ""}}));
  CAPTURE(row.name);
  CHECK(zone_words(row.name) == row.words);
}
