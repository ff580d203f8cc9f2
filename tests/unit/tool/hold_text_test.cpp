#include "hold_text.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a hold is written in one line") {
  const auto progress = parse_hold("17 Cel until 75 % of the fall");
  REQUIRE(progress);
  CHECK(progress.value().temperature.value == 17);
  CHECK(std::get<UntilProgress>(progress.value().until).fraction == Approx(0.75));
  const auto attenuation = parse_hold("17 Cel until 58 % attenuation");
  REQUIRE(attenuation);
  CHECK(std::get<UntilAttenuation>(attenuation.value().until).apparent == Approx(0.58));

  CHECK(std::get<UntilProgress>(parse_hold("62.6 F until 80% of the fall").value().until).fraction ==
        Approx(0.8));
  CHECK(parse_hold("62.6 F until 80% of the fall").value().temperature.value == Approx(17));
  CHECK(std::get<UntilGravity>(parse_hold("20 Cel until 1.014").value().until).gravity.value() == 1.014);
  CHECK(std::get<UntilDays>(parse_hold("11 Cel for 9 d").value().until).days == Approx(9));
  CHECK(std::get<UntilDays>(parse_hold("2 Cel for 36 h").value().until).days == Approx(1.5));
  for (const char* text : {"20 Cel until final gravity", "20 Cel until final-gravity"}) {
    CHECK(std::holds_alternative<UntilFinalGravity>(parse_hold(text).value().until));
  }
}

TEST_CASE("a hold that cannot be understood is refused with what is expected") {
  for (const char* text :
       {"", "17 Cel until 75 %", "17 Cel until 75 % of it", "17 Cel", "17 Cel until", "17 Cel until ",
        "18 until 75 % of the fall", "until 75 % of the fall", "17 Cel until 75",
        "17 Cel until x % of the fall", "17 Cel until % of the fall", "17 Cel for 7", "17 Cel for ever",
        "17 Cel till 75 % of the fall", "400 Cel until 75 % of the fall", "17 Cel until the end"}) {
    CAPTURE(text);
    const auto hold = parse_hold(text);
    REQUIRE_FALSE(hold);
    CHECK(hold.error().message.size() > 20);
  }
}

TEST_CASE("a range has a low and a high end") {
  CHECK(parse_range("15 Cel : 21 Cel", "").value().low == "15 Cel");
  CHECK(parse_range("15 Cel : 21 Cel", "").value().high == "21 Cel");
  CHECK_FALSE(parse_range("0.75", "0.73:0.79"));
  CHECK_FALSE(parse_range("1:2:3", "0.73:0.79"));
  CHECK(parse_number("0.73").value() == 0.73);
  for (const char* text : {"", "x", "0.7x", "nan", "inf", "0,7", " 1"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_number(text));
  }
}
