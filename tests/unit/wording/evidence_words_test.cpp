#include "wording/evidence_words.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace gyle;

TEST_CASE("evidence reads in the brewer's units") {
  const Evidence evidence{{"gravity_sg", 1.048},
                          {"temperature_celsius", 20},
                          {"still_hours", 18},
                          {"change_points", -4},
                          {"confidence", 0.95}};
  CHECK(evidence_words(evidence, {}) ==
        "gravity 1.0480, beer at 20 °C, not moved for 18 h, changed by -4 points, 95 % sure");
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  // 1.048 is 11.9 degP: NBS Circular C440, table 114.
  CHECK(evidence_words(evidence, display) ==
        "gravity 11.91 °P, beer at 68 °F, not moved for 18 h, changed by -1.00 °P, 95 % sure");
}

TEST_CASE("values that are not finite are left out, unknown ones show their name") {
  CHECK(evidence_words({{"gravity_sg", std::numeric_limits<double>::quiet_NaN()}}, {}).empty());
  CHECK(evidence_words({{"due_time", 1e300}, {"silent_hours", -1e300}}, {}).find("due since") == 0);
  CHECK(evidence_words({{"moon_phase", 0.5}}, {}) == "moon phase 0.5");
}

TEST_CASE("a stall that may be the hydrometer's is named as such") {
  CHECK(evidence_words({{"doubtful", 1}}, {}) == "a hydrometer that reads high would look the same");
  CHECK(evidence_words({{"doubtful", 0}}, {}).empty());
}

TEST_CASE("no evidence shows an impossible value") {
  CHECK(evidence_words({{"attenuation", -0.02}}, {}) == "not yet fallen");
  CHECK(evidence_words({{"attenuation", 0.58}}, {}) == "58 % attenuated");
  CHECK(evidence_words({{"offset_points", -1.1}}, {}) == "by 1.1 points");
  CHECK(evidence_words({{"chance_more_than_tolerance_left", 0.0}}, {}) ==
        "chance that more than the tolerance is still to fall below 1 %");
  CHECK(evidence_words({{"chance_more_than_tolerance_left", 1.0}}, {}) ==
        "chance that more than the tolerance is still to fall more than 99 %");
  CHECK(evidence_words({{"usual_interval_minutes", 0.1}}, {}) == "usually every few seconds");
}
