#include "units/quantity_text.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("temperatures are read in every unit a brewer writes") {
  struct Row {
    const char* text;
    double celsius;
  };
  // Fixed points: 32 degF = 0 degC, 212 degF = 100 degC, 0 degC = 273.15 K.
  const auto row = GENERATE(values<Row>({{"18 Cel", 18},
                                         {"18Cel", 18},
                                         {"  18.5 C ", 18.5},
                                         {"18 °C", 18},
                                         {"-1 cel", -1},
                                         {"32 F", 0},
                                         {"212 [degF]", 100},
                                         {"64.4 °F", 18},
                                         {"273.15 K", 0}}));
  CAPTURE(row.text);
  const auto parsed = parse_temperature(row.text);
  REQUIRE(parsed.has_value());
  CHECK(parsed.value().value == Approx(row.celsius).margin(1e-9));
}

TEST_CASE("gravities are read in both scales") {
  CHECK(parse_gravity("1.048").value().value() == 1.048);
  CHECK(parse_gravity("1.048 SG").value().value() == 1.048);
  // NBS Circular C440 table 114: 12 % is 1.04837.
  for (const char* text : {"12 P", "12 °P", "12P", "12 Plato"}) {
    CAPTURE(text);
    CHECK(parse_gravity(text).value().value() == Approx(1.04837).margin(2.5e-5).epsilon(0));
  }
}

TEST_CASE("decimals follow a point or a comma") {
  CHECK(parse_gravity("1,012").value().value() == 1.012);
  CHECK(parse_temperature("18,5 C").value().value == 18.5);
  CHECK(parse_volume_litres("20,5 L").value() == 20.5);
  for (const char* unclear : {"1,500 g", "1,2,3 kg", "1.000,5 kg", ",5 kg", "5, kg"}) {
    CAPTURE(unclear);
    const auto mass = parse_mass_kg(unclear);
    REQUIRE_FALSE(mass.has_value());
    CHECK_THAT(mass.error().message, Catch::Contains("comma"));
  }
}

TEST_CASE("volumes are litres inside") {
  CHECK(parse_volume_litres("20 L").value() == 20);
  CHECK(parse_volume_litres("20 l").value() == 20);
  CHECK(parse_volume_litres("5 gal").value() == Approx(18.92705892));  // a US gallon is 3.785411784 L
  CHECK(parse_volume_litres("500 mL").value() == Approx(0.5));
  CHECK(parse_volume_litres("12 fl oz").value() == Approx(0.35488).margin(5e-6));  // NIST Handbook 44
}

TEST_CASE("carbonation is volumes inside") {
  CHECK(parse_carbonation_volumes("2.4").value() == 2.4);
  CHECK(parse_carbonation_volumes("2.4 vol").value() == 2.4);
  CHECK(parse_carbonation_volumes("2.4 volumes").value() == 2.4);
  CHECK(parse_carbonation_volumes("1.977 g/L").value() == Approx(1));
  for (const char* wrong : {"", "much", "2.4 bar", "0", "-2.4", "21", "nan"}) {
    CAPTURE(wrong);
    CHECK_FALSE(parse_carbonation_volumes(wrong));
  }
}

// NIST Handbook 44, appendix C: the avoirdupois pound is 0.45359237 kg and has 16 ounces; the US gallon is
// 3.785411784 L.
TEST_CASE("masses are kilograms inside") {
  CHECK(parse_mass_kg("5 kg").value() == 5);
  CHECK(parse_mass_kg("450 g").value() == 0.45);
  CHECK(parse_mass_kg("6 lb").value() == Approx(2.72155422));
  CHECK(parse_mass_kg("1 lbs").value() == Approx(0.45359237));
  CHECK(parse_mass_kg("8 oz").value() == Approx(0.226796185));
}

TEST_CASE("rates and powers are read in both systems") {
  CHECK(parse_litres_per_hour("4.5 L/h").value() == 4.5);
  CHECK(parse_litres_per_hour("0 L/h").value() == 0);
  CHECK(parse_litres_per_hour("1.25 gal/h").value() == Approx(4.73176473));
  CHECK(parse_litres_per_kg("0.8 L/kg").value() == 0.8);
  CHECK(parse_litres_per_kg("0.09 gal/lb").value() == Approx(0.34068706056 / 0.45359237));
  CHECK(parse_power_watts("3500 W").value() == 3500);
  CHECK(parse_power_watts("3.5 kW").value() == 3500);
}

TEST_CASE("lengths of time are read in every unit") {
  CHECK(parse_duration("48 h").value() == hours(48));
  CHECK(parse_duration("2 days").value() == hours(48));
  CHECK(parse_duration("90 s").value() == seconds(90));
  CHECK(parse_duration("1.5 min").value() == seconds(90));
  CHECK(parse_duration("3 weeks").value() == days(21));
}

TEST_CASE("text that is not a quantity is refused with the expected form") {
  struct Row {
    const char* text;
    const char* hint;
  };
  const auto temperature = GENERATE(values<Row>({{"", "18 C"},
                                                 {"18", "C, F or K"},
                                                 {"warm", "18 C"},
                                                 {"18 R", "C, F or K"},
                                                 {"18,5,1 C", "comma"},
                                                 {"nan Cel", "18 C"},
                                                 {"inf Cel", "18 C"},
                                                 {"1e999 Cel", "18 C"},
                                                 {"500 Cel", "-50 to 150"}}));
  CAPTURE(temperature.text);
  const auto parsed = parse_temperature(temperature.text);
  REQUIRE_FALSE(parsed.has_value());
  CHECK_THAT(parsed.error().message, Catch::Contains(temperature.hint));
}

TEST_CASE("impossible quantities are refused") {
  for (const char* text : {"1048", "48", "12 brix", "500 P", "", "1.048 P P"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_gravity(text).has_value());
  }
  for (const char* text : {"0 L", "-5 L", "20", "20 pints", "1e9 L"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_volume_litres(text).has_value());
  }
  for (const char* text : {"0 kg", "-5 kg", "20", "20 stone", "1e9 kg", "nan kg", "5 fl oz"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_mass_kg(text).has_value());
  }
  for (const char* text : {"-1 L/h", "4", "4 L", "1e9 L/h", ""}) {
    CAPTURE(text);
    CHECK_FALSE(parse_litres_per_hour(text).has_value());
  }
  for (const char* text : {"-1 L/kg", "0.8", "0.8 L", "11 L/kg"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_litres_per_kg(text).has_value());
  }
  for (const char* text : {"0 W", "-5 W", "3500", "5 hp", "2000 kW"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_power_watts(text).has_value());
  }
  for (const char* text : {"0 h", "-1 h", "48", "5 fortnights", "1e300 weeks"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_duration(text).has_value());
  }
}
