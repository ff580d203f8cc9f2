#include "wording/amendment_lines.h"

#include <catch2/catch.hpp>

#include "wording/format.h"

#include "base/rfc3339.h"

using namespace gyle;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

Amendment amendment(AmendedThing thing, Entry before, Entry after) {
  return {3, at("2026-03-06T09:12:00Z"), thing, 12, std::move(before), std::move(after), {}, false};
}

std::string only_line(const Amendment& one, const DisplaySettings& display = {}) {
  const auto lines = amendment_lines(one, display);
  REQUIRE(lines.size() == 1);
  return lines[0];
}

const Time kTaken = at("2026-03-05T18:30:00Z");

}  // namespace

TEST_CASE("an amendment shows the new value and the old one") {
  const HandSample right{kTaken, SpecificGravity::unchecked(1.012)};
  const HandSample wrong{kTaken, SpecificGravity::unchecked(1.021)};
  CHECK(only_line(amendment(AmendedThing::sample, wrong, right)) ==
        "  3  Fri 6 Mar 09:12  sample 12: 1.0120 of Thu 5 Mar 18:30, not 1.0210 of Thu 5 Mar 18:30");
  CHECK(only_line(amendment(AmendedThing::sample, wrong, NotThere{})) ==
        "  3  Fri 6 Mar 09:12  sample 12 taken back: 1.0210 of Thu 5 Mar 18:30");
  CHECK(only_line(amendment(AmendedThing::note, NotThere{}, WrittenNote{kTaken, "Dry hops.\nAnd more."})) ==
        "  3  Fri 6 Mar 09:12  note 12 put back: \"Dry hops.\" of Thu 5 Mar 18:30");
  CHECK(only_line(amendment(AmendedThing::packaged, kTaken, NotThere{})) ==
        "  3  Fri 6 Mar 09:12  back in its vessel, not packaged Thu 5 Mar 18:30");
  Amendment undone = amendment(AmendedThing::sample, wrong, right);
  undone.undone = true;
  CHECK_THAT(only_line(undone), Catch::EndsWith("(undone)"));
  undone.undone = false;
  undone.undoes = 2;
  CHECK_THAT(only_line(undone), Catch::EndsWith("(undoes 2)"));
}

TEST_CASE("of a description only the differences are shown, a line each, in the brewer's units") {
  BatchSpec before;
  before.name = "Harbor amber";
  before.pitched = kTaken;
  before.original_gravity = SpecificGravity::unchecked(1.040);
  before.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
  BatchSpec after = before;
  after.name = "Amber no. 12";
  after.volume_l = 18.927;
  after.plan[0].until = UntilDays{7};
  DisplaySettings display;
  display.volume = DisplaySettings::Volume::us_gallons;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  const auto lines = amendment_lines(amendment(AmendedThing::description, before, after), display);
  REQUIRE(lines.size() == 3);
  CHECK(lines[0] == "  3  Fri 6 Mar 09:12  name \"Amber no. 12\", not \"Harbor amber\"");
  CHECK(lines[1] == "                      volume 5.00 gal, not unknown");
  CHECK(lines[2] ==
        "                      plan [64.4 °F for 7 days, 71.6 °F until final gravity], not [64.4 °F until "
        "75 % of the fall, "
        "71.6 °F until final gravity]");
  CHECK(description_differences(before, before, display).empty());

  BatchSpec sweetened = before;
  sweetened.additions = {{AdditionKind::sugar, kTaken, 0.25, 0}, {AdditionKind::fruit, kTaken, 2, 0.1}};
  const std::string time = show_time(kTaken, display);
  CHECK(description_differences(before, sweetened, display) ==
        std::vector<std::string>{"additions [8.82 oz of sugar at " + time +
                                 ", 4.41 lb of fruit (10 % sugar) at " + time + "], not none"});
}
