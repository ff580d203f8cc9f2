#include "control/sample_routes.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Catch::Matchers::Contains;
using Query = std::map<std::string, std::string, std::less<>>;

namespace {
constexpr auto kOriginal = SpecificGravity::unchecked(1.048);
}

TEST_CASE("a hydrometer reading is taken as it is, or corrected for its temperature") {
  CHECK(sample_gravity({{"gravity", "1.012"}}, {}, {}).value().gravity.value() == 1.012);
  // Water is 1.2 permille lighter at 25 than at 20 degC (Kell 1975).
  const auto warm = sample_gravity({{"gravity", "1.012"}, {"temperature", "25 Cel"}}, {}, {});
  CHECK(warm.value().gravity.value() == Approx(1.0132).margin(0.0001).epsilon(0));
  const auto same =
      sample_gravity({{"gravity", "1.012"}, {"temperature", "77 F"}, {"calibrated_at", "25 Cel"}}, {}, {});
  CHECK(same.value().gravity.value() == Approx(1.012).margin(1e-9).epsilon(0));
}

TEST_CASE("a refractometer reading is corrected for alcohol by the original gravity") {
  const double usual = sample_gravity({{"refractometer", "6.24"}}, kOriginal, {}).value().gravity.value();
  CHECK(sample_gravity({{"refractometer", "6"}, {"wort_correction", "1"}}, kOriginal, {})
            .value()
            .gravity.value() == Approx(usual).margin(1e-9).epsilon(0));
  // 1.048 is 11.91 degP; the cubic for 12 and 6 gives 1.0117.
  CHECK(usual == Approx(1.0117).margin(0.0003).epsilon(0));
}

// 12.48 by 1.04 is 12 degP, 1.0484 by the sucrose table (NBS Circular C440).
TEST_CASE("a refractometer's reading of wort needs no original gravity") {
  const auto measured = sample_gravity({{"refractometer", "12.48"}, {"wort", "true"}}, {}, {});
  REQUIRE(measured.has_value());
  CHECK(measured.value().gravity.value() == Approx(1.04837).margin(2.5e-5).epsilon(0));
  CHECK_THAT(measured.value().how, Contains("12.48") && Contains("12.0 °P"));
  const auto own =
      sample_gravity({{"refractometer", "12"}, {"wort", "true"}, {"wort_correction", "1"}}, {}, {});
  CHECK(own.value().gravity.value() == Approx(measured.value().gravity.value()).margin(1e-9).epsilon(0));
  CHECK_FALSE(sample_gravity({{"refractometer", "12"}, {"wort", "false"}}, {}, {}));
}

TEST_CASE(
    "the answer shows how a gravity follows from the reading, and names the source of the correction for "
    "alcohol") {
  const auto fermenting = sample_gravity({{"refractometer", "6.24"}}, kOriginal, {});
  CHECK_THAT(fermenting.value().how, Contains("S. Terrill") && Contains("2010") && Contains("1.048") &&
                                         Contains("1.04.") && Contains("two points"));
  // 10 by 1.04 is 9.6 degP, more than six tenths of the 11.9 degP that it began with.
  const auto early = sample_gravity({{"refractometer", "10"}}, kOriginal, {});
  CHECK_THAT(early.value().how, Contains("straight line of ours") && !Contains("Terrill"));
  DisplaySettings fahrenheit;
  fahrenheit.temperature = DisplaySettings::Temperature::fahrenheit;
  const auto warm = sample_gravity({{"gravity", "1.012"}, {"temperature", "77 F"}, {"calibrated_at", "60 F"}},
                                   {}, fahrenheit);
  CHECK_THAT(warm.value().how, Contains("60 °F") && Contains("77 °F") && Contains("1.0120"));
  CHECK(sample_gravity({{"gravity", "1.012"}}, {}, {}).value().how.empty());
}

TEST_CASE("a sample that is not understood gets an error with the expected form") {
  struct Row {
    Query query;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {{}, "either"},
      {{{"gravity", "1.012"}, {"refractometer", "6"}}, "either"},
      {{{"gravity", "1048"}}, "1048"},
      {{{"gravity", "0.97"}}, "0.98"},
      {{{"gravity", "heavy"}}, "heavy"},
      {{{"gravity", "1.012"}, {"calibrated_at", "20 Cel"}}, "temperature of the sample"},
      {{{"gravity", "1.012"}, {"temperature", "70 Cel"}}, "60"},
      {{{"gravity", "1.012"}, {"wort", "true"}}, "refractometer"},
      {{{"refractometer", "6"}, {"wort", "yes"}}, "true or false"},
      {{{"refractometer", "six"}}, "six"},
      {{{"refractometer", "60"}}, "0 to 40"},
      {{{"refractometer", "6"}, {"temperature", "24 Cel"}}, "hydrometer"},
      {{{"refractometer", "6"}, {"wort_correction", "2"}}, "0.9 to 1.2"},
  }));
  const auto result = sample_gravity(row.query, kOriginal, {});
  REQUIRE_FALSE(result);
  CHECK_THAT(result.error().message, Contains(row.says));
  CHECK_THAT(sample_gravity({{"refractometer", "6"}}, {}, {}).error().message, Contains("original gravity"));
}
