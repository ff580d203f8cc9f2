#include "wording/yeast_lines.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using Lines = std::vector<std::string>;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

YeastHistory house() {
  return {"House ale",
          {{3, "Amber no. 12", at("2026-02-01T18:30:00Z"), {1.050, 1.0125, 0.75, 0.5, 4, 18.5}},
           {12, "Stout", at("2026-03-08T18:30:00Z"), {1.060, 1.0138, 0.77, {}, 6.25, {}}}},
          1};
}

}  // namespace

TEST_CASE("each yeast has a line") {
  const std::vector<YeastHistory> yeasts{{"Farmhouse", {}, 2}, house()};
  CHECK(yeast_list_lines(yeasts, {}) ==
        Lines{"Yeast      Batches  Attenuation   Lag  At its end  Kept at      Expect", "Farmhouse        0",
              "House ale        2         76 %  12 h      5 days  18.5 °C  73 to 78 %"});
  CHECK(yeast_list_lines({}, {}) == Lines{"No batch has named its yeast yet."});
}

TEST_CASE("a yeast's batches are listed, with its usual values, and what to expect") {
  CHECK(
      yeast_lines(house(), {}) ==
      Lines{
          "House ale: 2 batches that came to a stable final gravity; 1 batch has not come to a stable final "
          "gravity, or not yet, and does not count.",
          "No.  Batch            Pitched   From     To  Attenuation   Lag  At its end  Kept at",
          "  3  Amber no. 12  1 Feb 2026  1.050  1.012         75 %  12 h      4 days  18.5 °C",
          " 12  Stout         8 Mar 2026  1.060  1.014         77 %            6 days",
          "Attenuation: 76 % in the middle, from 75 % to 77 %.", "Lag, from the pitch to the start: 12 h.",
          "At its end after: 5 days in the middle, from 4 days to 6 days.", "Kept at: 18.5 °C.",
          "Expect of the next batch: 73 to 78 % attenuated, with 80 % certainty; with so few batches it "
          "leans to what most yeasts do."});
  CHECK(yeast_lines({"Farmhouse", {}, 2}, {}) ==
        Lines{"Farmhouse: 2 batches have not come to a stable final gravity, or not yet, and do not count."});
}

TEST_CASE("what a yeast did warm and cool is compared") {
  YeastHistory yeast = house();
  yeast.batches[1].run.celsius = 20.5;
  const Lines lines = yeast_lines(yeast, {});
  const auto found =
      std::find(lines.begin(), lines.end(), "By the temperature they were kept at, the middle of each:");
  REQUIRE(lines.end() - found > 3);
  CHECK(found[1] == "    Kept at  Batches  Attenuation   Lag  At its end");
  CHECK(found[2] == "18 to 20 °C        1         75 %  12 h      4 days");
  CHECK(found[3] == "20 to 22 °C        1         77 %            6 days");
}
