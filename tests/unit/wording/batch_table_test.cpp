#include "wording/batch_table.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "wording/text_table.h"

using namespace gyle;
using Lines = std::vector<std::string>;

TEST_CASE("batches are listed in columns") {
  BatchSpec amber, stout;
  amber.name = "Amber no. 12";
  amber.pitched = parse_rfc3339("2026-02-01T18:30:00Z").value();
  amber.original_gravity = SpecificGravity::unchecked(1.05);
  amber.yeast.name = "House ale";
  stout.name = "Størm\tstout";
  stout.pitched = parse_rfc3339("2026-03-11T18:30:00Z").value();
  BatchView ended, fresh;
  ended.gravity = Interval{1.0121, 1.0118, 1.0124};
  ended.attenuation = 0.758;
  const std::vector<ListedBatch> batches{
      {3, "left", &amber, &ended, parse_rfc3339("2026-02-15T10:00:00Z").value()},
      {12, "right", &stout, &fresh, {}}};
  CHECK(batch_table(batches, {}) ==
        Lines{"No.  Name          Vessel      Pitched     Packaged   From     To  Attenuation  Yeast",
              "  3  Amber no. 12  left     1 Feb 2026  15 Feb 2026  1.050  1.012         76 %  House ale",
              " 12  Størm?stout   right   11 Mar 2026"});
  CHECK(batch_table({}, {}).size() == 1);
}

TEST_CASE("a table sets columns of numbers to the right, and counts columns of the screen") {
  CHECK(text_table({{"a", "n"}, {"蔵", "9"}, {"é", "100"}}) == Lines{"a     n", "蔵    9", "é   100"});
  CHECK(text_table({}).empty());
}
