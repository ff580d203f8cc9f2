#include "packaging/priming.h"

#include <catch2/catch.hpp>
#include <cstdlib>

#include "support/reference.h"
#include "units/residual_co2.h"

using namespace gyle;

TEST_CASE("a gram of sugar makes the gas of its formula") {
  const auto rows = test::reference_csv("priming.csv");
  const auto published = [&](const std::string& sugar, std::size_t column) {
    for (const auto& row : rows) {
      if (row[0] == sugar) return std::atof(row[column].c_str());
    }
    FAIL("no " << sugar);
    return 0.0;
  };
  const std::pair<Sugar, const char*> sugars[] = {{Sugar::sucrose, "sucrose"},
                                                  {Sugar::glucose, "glucose_anhydrous"},
                                                  {Sugar::glucose_monohydrate, "glucose_monohydrate"}};
  for (const auto& [sugar, called] : sugars) {
    CAPTURE(called);
    CHECK(co2_grams_per_gram(sugar) == Approx(published(called, 1)).margin(0.00006).epsilon(0));
    CHECK(priming_grams_per_litre(sugar, 1) == Approx(published(called, 2)).margin(0.001).epsilon(0));
  }
  // Of dry malt the extract that ferments gives what Balling found; the rest is assumed.
  CHECK(co2_grams_per_gram(Sugar::dry_malt_extract) / (kExtractOfDryMalt * kFermentableOfDryMalt) ==
        Approx(published("extract_balling", 1)).margin(0.00006).epsilon(0));
  // Rules of thumb, common practice: four grams of sugar a litre for a volume; of dry malt half as much again
  // as of glucose.
  CHECK(priming_grams_per_litre(Sugar::sucrose, 1) == Approx(published("rule_of_4_g", 2)).epsilon(0.05));
  // Of sucrose the tables' 1.5 times, from memory, and what follows from the assumed extract.
  const double times = co2_grams_per_gram(Sugar::sucrose) / co2_grams_per_gram(Sugar::dry_malt_extract);
  CHECK(times == Approx(1.80).margin(0.005).epsilon(0));
  CHECK(times / kTableWeightOfDryMalt == Approx(1.2).margin(0.01).epsilon(0));  // a fifth more gas
  CHECK(co2_grams_per_gram(Sugar::glucose_monohydrate) / co2_grams_per_gram(Sugar::dry_malt_extract) ==
        Approx(1.5).epsilon(0.1));
}

TEST_CASE("worked doses come out") {
  const auto rows = test::reference_csv("priming_examples.csv");
  REQUIRE(rows.size() == 5);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    CAPTURE(rows[i][0], rows[i][1]);
    const double missing = number(0) - residual_co2_volumes(Celsius{number(1)}).value();
    const auto grams = [&](Sugar sugar) { return priming_grams_per_litre(sugar, missing) * number(2); };
    CHECK(grams(Sugar::sucrose) == Approx(number(5)).margin(0.06).epsilon(0));
    CHECK(grams(Sugar::glucose) == Approx(number(6)).margin(0.06).epsilon(0));
    CHECK(grams(Sugar::glucose_monohydrate) == Approx(number(7)).margin(0.06).epsilon(0));
  }
}

TEST_CASE("a sugar is found by its name only") {
  for (const Sugar sugar :
       {Sugar::sucrose, Sugar::glucose_monohydrate, Sugar::glucose, Sugar::dry_malt_extract}) {
    CHECK(sugar_named(name(sugar)) == sugar);
  }
  CHECK_FALSE(sugar_named("Sucrose"));
  CHECK_FALSE(sugar_named(""));
}
