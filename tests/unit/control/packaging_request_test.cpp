#include "control/packaging_request.h"

#include <catch2/catch.hpp>

using namespace gyle;

using Query = std::map<std::string, std::string, std::less<>>;

TEST_CASE("values of the query take precedence over what is known of the beer") {
  KnownBeer known;
  known.original_gravity = SpecificGravity::unchecked(1.050);
  known.final_gravity = SpecificGravity::unchecked(1.010);
  known.warmest = Celsius{22};
  known.volume_l = 20;
  known.finished = Finished::measured;
  const PackagingQuestion plain = packaging_question({}, known).value();
  CHECK(plain.original_gravity.value() == 1.050);
  CHECK(plain.warmest == Celsius{22});
  CHECK(plain.volume_l == 20);
  CHECK(plain.finished == Finished::measured);
  CHECK(plain.container == Container::bottles);
  const PackagingQuestion said = packaging_question({{"original_gravity", "12 P"},
                                                     {"final_gravity", "1.012"},
                                                     {"warmest", "68 F"},
                                                     {"volumes", "4.7 g/L"},
                                                     {"kind", "keg"},
                                                     {"sugar", "dry-malt-extract"},
                                                     {"volume", "5 gal"},
                                                     {"bottle", "330 mL"},
                                                     {"serving", "4 Cel"},
                                                     {"storage", "86 F"}},
                                                    known)
                                     .value();
  CHECK(said.original_gravity.value() == Approx(1.04837).margin(0.0001));  // plato_sg.csv
  CHECK(said.final_gravity.value() == 1.012);
  CHECK(said.warmest->value == Approx(20));
  CHECK(said.volumes == Approx(4.7 / 1.977));
  CHECK(said.container == Container::keg);
  CHECK(said.sugar == Sugar::dry_malt_extract);
  CHECK(*said.volume_l == Approx(18.927));
  CHECK(said.bottle_l == Approx(0.33));
  CHECK(said.serving == Celsius{4});
  CHECK(said.storage.value == Approx(30));
}

TEST_CASE("an error names the value that is wrong or missing") {
  struct Row {
    const char* name;
    Query query;
    Errc code;
    const char* said;
  };
  const Row rows[] = {
      {"no original", {{"final_gravity", "1.012"}}, Errc::missing, "original gravity"},
      {"no final", {{"original_gravity", "1.048"}}, Errc::missing, "final gravity"},
      {"points", {{"original_gravity", "1048"}}, Errc::out_of_range, "original_gravity: "},
      {"words", {{"warmest", "warm"}}, Errc::malformed, "warmest: "},
      {"another sugar", {{"sugar", "honey"}}, Errc::malformed, "dry-malt-extract"},
      {"another container", {{"kind", "bucket"}}, Errc::malformed, "bottles or keg"},
      {"no volume", {{"volume", "-5 L"}}, Errc::out_of_range, "volume: "},
      {"300 degrees", {{"storage", "300 Cel"}}, Errc::out_of_range, "storage: "},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    KnownBeer known;
    if (row.query.count("original_gravity") == 0 && row.query.count("final_gravity") == 0) {
      known.original_gravity = SpecificGravity::unchecked(1.050);
      known.final_gravity = SpecificGravity::unchecked(1.010);
    }
    const auto question = packaging_question(row.query, known);
    REQUIRE_FALSE(question);
    CHECK(question.error().code == row.code);
    CAPTURE(question.error().message);
    CHECK(question.error().message.find(row.said) != std::string::npos);
  }
}
