#include "wording/fill_lines.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

const Fill kBottles{at("2026-03-20T10:00:00Z"), Container::bottles, 22, 0.5, GasSource::priming, Celsius{20}};
const Fill kKeg{at("2026-03-20T10:00:00Z"), Container::keg, 1, 11, GasSource::cylinder, Celsius{4}};

std::string text_of(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

}  // namespace

TEST_CASE("a fill is counted in the brewer's units") {
  DisplaySettings us;
  us.volume = DisplaySettings::Volume::us_gallons;
  CHECK(fill_words(kBottles, {}) == "22 bottles of 500 mL");
  CHECK(fill_words(kBottles, us) == "22 bottles of 16.9 fl oz");
  CHECK(fill_words(kKeg, {}) == "1 keg of 11 L");
}

TEST_CASE("it is said when a beer should have its gas, how sure that is, and how to find out") {
  const Time now = at("2026-03-20T12:00:00Z");
  CHECK(text_of(fill_lines(std::vector<NumberedFill>{{1, kBottles}}, 12.0, {}, now)) ==
        "  1  Fri 20 Mar 10:00  22 bottles of 500 mL, primed, kept at 20 °C\n"
        "     Expected to have its gas about Fri 3 Apr, in 8 of 10 cases between Sun 29 Mar and Mon 13 Apr, "
        "by a "
        "rule of thumb and if it stays at 20 °C. Chill one bottle then, and open that one first.\n");
  CHECK(carbonated_sentence(kBottles, {}, at("2026-05-01T00:00:00Z")) ==
        "By a rule of thumb it has had its gas since about Fri 3 Apr.");
  Fill cold = kBottles;
  cold.storage = Celsius{6};
  CHECK(carbonated_sentence(cold, {}, now) ==
        "At 6 °C many ale yeasts stop, and it may get no gas. Keep it at 18 to 22 °C until a test bottle has "
        "gas.");
}

TEST_CASE("more beer in bottles than there was is asked about") {
  const Time now = at("2026-03-20T12:00:00Z");
  const std::vector<NumberedFill> both{{1, kBottles}, {2, kKeg}};
  CHECK(text_of(fill_lines(both, 12.0, {}, now)).find("more than the batch, 12.0 L: check the count.") !=
        std::string::npos);
  CHECK(text_of(fill_lines(both, 22.0, {}, now)).find("check the count") == std::string::npos);
  CHECK(text_of(fill_lines(both, {}, {}, now)).find("Together 22.0 L.") != std::string::npos);
  CHECK(text_of(fill_lines({}, 12.0, {}, now)) == "Not entered yet what it was filled into.\n");
}
