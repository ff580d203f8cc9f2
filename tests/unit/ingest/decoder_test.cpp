#include "ingest/decoder.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

const Time kNow = parse_rfc3339("2026-03-01T18:30:00Z").value();

Source json_source() {
  Source source;
  source.filter = "cellar/+/state";
  source.format = Source::Format::json;
  source.sensor = SensorFromPointer{"/id"};
  source.fields = {{Quantity::gravity, "/sg", Unit::specific_gravity},
                   {Quantity::beer_temperature, "/t", Unit::celsius}};
  source.time_format = TimeFormat::rfc3339;
  source.time_pointer = "/at";
  return source;
}

Source senml_source() {
  Source source;
  source.filter = "senml/#";
  return source;
}

Source number_source(Quantity quantity = Quantity::beer_temperature, Unit unit = Unit::celsius) {
  Source source;
  source.filter = "probes/+/value";
  source.format = Source::Format::number;
  source.sensor = SensorFromLevel{1};
  source.fields = {{quantity, "", unit}};
  return source;
}

Message on(const std::string& topic, const std::string& payload) { return {topic, payload, kNow}; }

Decoded decoded(const Message& message) {
  const std::vector<Source> sources{json_source(), senml_source(), number_source()};
  return decode(message, sources);
}

RefusalReason only_refusal(const Decoded& decoded) {
  REQUIRE(decoded.readings.empty());
  REQUIRE(decoded.refusals.size() == 1);
  return decoded.refusals[0].reason;
}

}  // namespace

TEST_CASE("a JSON message becomes readings by the pointers of its source") {
  const auto result = decoded(
      on("cellar/x/state", R"({"id":"hydrometer-1","at":"2026-03-01T18:29:30Z","sg":1.048,"t":18.25})"));
  CHECK(result.refusals.empty());
  REQUIRE(result.readings.size() == 2);
  CHECK(result.readings[0].sensor == "hydrometer-1");
  CHECK(result.readings[0].quantity == Quantity::gravity);
  CHECK(result.readings[0].value == 1.048);
  CHECK(result.readings[0].time == kNow - seconds(30));
  CHECK(result.readings[0].time_quality == TimeQuality::stamped);
  CHECK(result.readings[1].quantity == Quantity::beer_temperature);
  CHECK(result.readings[1].value == 18.25);
}

// Many sensors send their battery now and then only.
TEST_CASE("an absent field is no refusal while another is present") {
  for (const char* payload : {R"({"id":"f","sg":1.05})", R"({"id":"f","sg":"1.05","t":null})"}) {
    CAPTURE(payload);
    const auto result = decoded(on("cellar/x/state", payload));
    CHECK(result.refusals.empty());
    REQUIRE(result.readings.size() == 1);
    CHECK(result.readings[0].value == 1.05);
  }
  const auto none = decoded(on("cellar/x/state", R"({"id":"f","gravity":1.05})"));
  CHECK(none.readings.empty());
  CHECK(none.refusals.size() == 2);
}

TEST_CASE("scale and offset come before the unit") {
  Source source = json_source();
  source.fields = {{Quantity::gravity, "/0", Unit::specific_gravity, 0.001, 0.002},
                   {Quantity::beer_temperature, "/1", Unit::fahrenheit, 1, -1},
                   {Quantity::battery, "/2", Unit::millivolt}};
  source.sensor = SensorNamed{"one"};
  source.time_format = TimeFormat::arrival;
  const auto result = decode(on("cellar/x/state", "[1046, 65.4, 3700]"), std::vector{source});
  REQUIRE(result.readings.size() == 3);
  CHECK(result.readings[0].value == Approx(1.048));
  CHECK(result.readings[1].value == Approx(18.0));  // 64.4 degF
  CHECK(result.readings[2].value == Approx(3.7));
}

TEST_CASE("the id of a sensor comes from where the source says") {
  Source source = number_source();
  CHECK(decode(on("probes/p7/value", "20"), std::vector{source}).readings[0].sensor == "p7");
  source.sensor = SensorNamed{"freezer"};
  CHECK(decode(on("probes/p7/value", "20"), std::vector{source}).readings[0].sensor == "freezer");
  CHECK(decoded(on("cellar/x/state", R"({"id":17,"sg":1.05,"t":20})")).readings[0].sensor == "17");
  for (const char* id :
       {"null", "\"\"", "1.5", "[]", "true", "\"a\\u0000b\"", "\"a\\nb\"", "\" \"", "\" \\u00a0\\u2003 \""}) {
    CAPTURE(id);
    const auto result = decoded(on("cellar/x/state", std::string(R"({"sg":1.05,"t":20,"id":)") + id + "}"));
    CHECK(only_refusal(result) == RefusalReason::no_sensor);
  }
  CHECK(only_refusal(decoded(on("probes//value", "20"))) == RefusalReason::no_sensor);
  CHECK(only_refusal(decoded(on("probes/  /value", "20"))) == RefusalReason::no_sensor);
  CHECK(decoded(on("probes/left probe/value", "20")).readings[0].sensor == "left probe");
}

TEST_CASE("a message that is far too large is refused with its head and its size") {
  Message large = on("probes/p7/value", std::string(64, '1'));
  large.left_out = 268'435'000;
  const auto result = decoded(large);
  CHECK(only_refusal(result) == RefusalReason::too_large);
  CHECK_THAT(result.refusals[0].detail, Catch::Contains("268435064 bytes"));
}

TEST_CASE("a SenML pack needs no mapping") {
  const auto result = decoded(on("senml/hydrometer", R"([
      {"bn":"urn:dev:hydrometer-1:","bt":1772389770,"n":"gravity","u":"/","v":1.048},
      {"n":"temperature","u":"K","v":291.15},
      {"n":"ambient_temperature","u":"Cel","t":-10,"v":12.5},
      {"n":"inclination","u":"deg","v":45},
      {"n":"battery","u":"mV","v":3700},
      {"n":"battery","u":"%EL","v":80},
      {"n":"humidity","u":"%RH","v":60},
      {"n":"label","vs":"bucket"}])"));
  CHECK(result.refusals.empty());
  REQUIRE(result.readings.size() == 5);
  const std::vector<std::pair<Quantity, double>> expected{{Quantity::gravity, 1.048},
                                                          {Quantity::beer_temperature, 18},
                                                          {Quantity::ambient_temperature, 12.5},
                                                          {Quantity::inclination, 45},
                                                          {Quantity::battery, 3.7}};
  for (std::size_t i = 0; i < expected.size(); ++i) {
    CAPTURE(i);
    CHECK(result.readings[i].sensor == "urn:dev:hydrometer-1");
    CHECK(result.readings[i].quantity == expected[i].first);
    CHECK(result.readings[i].value == Approx(expected[i].second));
    CHECK(result.readings[i].time_quality == TimeQuality::stamped);
  }
  CHECK(result.readings[0].time == kNow - seconds(30));  // 1772389770 is 2026-03-01T18:29:30Z
  CHECK(result.readings[2].time == kNow - seconds(40));
}

TEST_CASE("relative times of a pack count from its arrival") {
  Message message =
      on("senml/x", R"([{"bn":"f/","n":"gravity","t":-120.5,"v":1.05},{"n":"gravity","v":1.05}])");
  auto result = decoded(message);
  REQUIRE(result.readings.size() == 2);
  CHECK(result.readings[0].time == kNow - Duration(120500));
  CHECK(result.readings[0].time_quality == TimeQuality::arrival);
  CHECK(result.readings[1].time == kNow);
  message.backlog = true;
  for (const Reading& reading : decoded(message).readings)
    CHECK(reading.time_quality == TimeQuality::backlog);
}

// NBS Circular C440: a solution of 12 % has an apparent gravity of 1.04837 and 1046.43 kg/m3.
TEST_CASE("a density is a gravity") {
  const auto result = decoded(on("senml/x", R"([{"n":"f:density","u":"kg/m3","v":1046.43}])"));
  REQUIRE(result.readings.size() == 1);
  CHECK(result.readings[0].quantity == Quantity::gravity);
  CHECK(result.readings[0].value == Approx(1.04837).margin(2e-5).epsilon(0));
}

TEST_CASE("a record that cannot be used does not spoil the others") {
  const auto result = decoded(on("senml/x", R"([{"bn":"f:","n":"gravity","u":"Cel","v":1.05},
      {"n":"temperature","u":"Cel","v":85},{"n":"battery","u":"V","v":3.7},{"n":"inclination","u":"lx","v":4}])"));
  REQUIRE(result.readings.size() == 1);
  CHECK(result.readings[0].quantity == Quantity::battery);
  REQUIRE(result.refusals.size() == 3);
  CHECK(result.refusals[0].reason == RefusalReason::unknown_unit);
  CHECK(result.refusals[1].reason == RefusalReason::probe_error);
  CHECK(result.refusals[2].reason == RefusalReason::unknown_unit);
  CHECK(result.refusals[1].sensor == "f");
}

TEST_CASE("a bare number is read strictly") {
  for (const char* payload : {"21.5", " 21.5\n", "+21.5", "2.15e1", "21.50", "\"21.5\""}) {
    CAPTURE(payload);
    const auto result = decoded(on("probes/p/value", payload));
    REQUIRE(result.readings.size() == 1);
    CHECK(result.readings[0].value == 21.5);
    CHECK(result.readings[0].time == kNow);
    CHECK(result.readings[0].time_quality == TimeQuality::arrival);
  }
  for (const char* payload : {"", " ", "21,5", "21.5 C", "0x15", "nan", "inf", "-inf", "1e999", "+-3", "2 1",
                              "--2", "\"", "\"\"", "\"21.5", "{\"v\":21.5}", "\xFF"}) {
    CAPTURE(payload);
    CHECK(only_refusal(decoded(on("probes/p/value", payload))) == RefusalReason::not_a_number);
  }
}

TEST_CASE("an implausible value is refused with its reason") {
  struct Row {
    const char* name;
    const char* payload;
    RefusalReason reason;
  };
  const auto row = GENERATE(values<Row>({
      {"rubbish", "hello", RefusalReason::not_json},
      {"empty", "", RefusalReason::not_json},
      {"not a number", R"({"id":"f","sg":NaN})", RefusalReason::not_json},
      {"too large for a double", R"({"id":"f","sg":1e999})", RefusalReason::not_a_number},
      {"text", R"({"id":"f","sg":"1.048 SG"})", RefusalReason::not_a_number},
      {"missing", R"({"id":"f"})", RefusalReason::missing_field},
      {"null", R"({"id":"f","sg":null})", RefusalReason::missing_field},
      {"thousandths as SG", R"({"id":"f","sg":1050})", RefusalReason::out_of_range},
      {"negative", R"({"id":"f","sg":-1})", RefusalReason::out_of_range},
      {"1970", R"({"id":"f","at":"1970-01-01T00:00:07Z","sg":1.05})", RefusalReason::bad_time},
      {"2099", R"({"id":"f","at":"2099-01-01T00:00:00Z","sg":1.05})", RefusalReason::bad_time},
      {"year 0000", R"({"id":"f","at":"0000-01-01T00:00:00Z","sg":1.05})", RefusalReason::bad_time},
      {"61 days ago", R"({"id":"f","at":"2025-12-30T18:30:00Z","sg":1.05})", RefusalReason::bad_time},
      {"no time", R"({"id":"f","at":"yesterday","sg":1.05})", RefusalReason::bad_time},
      {"time as a number", R"({"id":"f","at":1772389800,"sg":1.05})", RefusalReason::bad_time},
  }));
  CAPTURE(row.name);
  Source source = json_source();
  source.fields.resize(1);
  const auto result = decode(on("cellar/x/state", row.payload), std::vector{source});
  CHECK(only_refusal(result) == row.reason);
  CHECK(result.refusals[0].topic == "cellar/x/state");
  CHECK(result.refusals[0].received == kNow);
  CHECK_FALSE(result.refusals[0].detail.empty());
  CHECK(result.refusals[0].head == std::string(row.payload).substr(0, kRefusalHeadBytes));
}

TEST_CASE("thousandths sent as specific gravity are refused with a hint") {
  Source source = json_source();
  source.fields.resize(1);
  const auto result = decode(on("cellar/x/state", R"({"id":"f","sg":1050})"), std::vector{source});
  CHECK_THAT(result.refusals.at(0).detail, Catch::Contains("1.0500"));
}

TEST_CASE("a probe without its wire is not a temperature") {
  struct Row {
    const char* payload;
    Unit unit;
    bool lost;
  };
  const auto row = GENERATE(values<Row>({{"85", Unit::celsius, true},
                                         {"85.0", Unit::celsius, true},
                                         {"-127", Unit::celsius, true},
                                         {"-127.00", Unit::celsius, true},
                                         {"185", Unit::fahrenheit, true},
                                         {"-196.6", Unit::fahrenheit, true},
                                         {"85", Unit::fahrenheit, false},
                                         {"20", Unit::celsius, false}}));
  CAPTURE(row.payload);
  const auto quantity = GENERATE(Quantity::beer_temperature, Quantity::ambient_temperature);
  const auto result =
      decode(on("probes/p/value", row.payload), std::vector{number_source(quantity, row.unit)});
  if (row.lost) {
    CHECK(only_refusal(result) == RefusalReason::probe_error);
  } else {
    CHECK(result.readings.size() == 1);
  }
}

TEST_CASE("each quantity has its physical range") {
  struct Row {
    Quantity quantity;
    Unit unit;
    const char* inside;
    const char* outside;
  };
  const auto row = GENERATE(values<Row>({{Quantity::gravity, Unit::specific_gravity, "0.98", "0.9799"},
                                         {Quantity::gravity, Unit::specific_gravity, "1.2", "1.2001"},
                                         {Quantity::gravity, Unit::plato, "30", "48"},
                                         {Quantity::inclination, Unit::degree_angle, "180", "180.5"},
                                         {Quantity::inclination, Unit::degree_angle, "0", "-1"},
                                         {Quantity::beer_temperature, Unit::celsius, "60", "84.9"},
                                         {Quantity::beer_temperature, Unit::celsius, "-30", "-30.5"},
                                         {Quantity::ambient_temperature, Unit::celsius, "45", "300"},
                                         {Quantity::battery, Unit::volt, "3.0", "-0.1"},
                                         {Quantity::battery, Unit::volt, "30", "3700"}}));
  CAPTURE(name(row.quantity), row.outside);
  const std::vector sources{number_source(row.quantity, row.unit)};
  CHECK(decode(on("probes/p/value", row.inside), sources).readings.size() == 1);
  CHECK(only_refusal(decode(on("probes/p/value", row.outside), sources)) == RefusalReason::out_of_range);
}

TEST_CASE("a stamp is believed from 60 days before its arrival to a little after") {
  struct Row {
    const char* name;
    Duration ahead;
    bool used;
    TimeQuality quality;
  };
  const auto row =
      GENERATE(values<Row>({{"just now", seconds(0), true, TimeQuality::stamped},
                            {"60 days ago", -days(60), true, TimeQuality::stamped},
                            {"a second more", -days(60) - seconds(1), false, TimeQuality::stamped},
                            {"clock ahead a little", minutes(5), true, TimeQuality::stamped},
                            {"clock ahead too much", minutes(6), true, TimeQuality::arrival},
                            {"a day ahead", days(1), true, TimeQuality::arrival},
                            {"more than a day", days(1) + seconds(1), false, TimeQuality::arrival}}));
  CAPTURE(row.name);
  Source source = json_source();
  source.fields.resize(1);
  const TimeFormat format =
      GENERATE(TimeFormat::rfc3339, TimeFormat::epoch_seconds, TimeFormat::epoch_milliseconds);
  source.time_format = format;
  const Time stamp = kNow + row.ahead;
  nlohmann::json payload{{"id", "f"}, {"sg", 1.05}};
  if (format == TimeFormat::rfc3339) payload["at"] = format_rfc3339(stamp);
  if (format == TimeFormat::epoch_seconds) payload["at"] = stamp.time_since_epoch().count() / 1000;
  if (format == TimeFormat::epoch_milliseconds) payload["at"] = stamp.time_since_epoch().count();
  const auto result = decode(on("cellar/x/state", payload.dump()), std::vector{source});
  if (!row.used) {
    CHECK(only_refusal(result) == RefusalReason::bad_time);
    return;
  }
  REQUIRE(result.readings.size() == 1);
  CHECK(result.readings[0].time_quality == row.quality);
  CHECK(result.readings[0].time == (row.quality == TimeQuality::stamped ? stamp : kNow));
}

TEST_CASE("without a stamp the arrival counts, and a backlog is marked") {
  Message message = on("cellar/x/state", R"({"id":"f","sg":1.05,"t":20})");
  for (const Reading& reading : decoded(message).readings)
    CHECK(reading.time_quality == TimeQuality::arrival);
  message.backlog = true;
  const auto late = decoded(message);
  REQUIRE(late.readings.size() == 2);
  for (const Reading& reading : late.readings) CHECK(reading.time_quality == TimeQuality::backlog);
  message.payload = R"({"id":"f","sg":1.05,"t":20,"at":"2026-03-01T12:00:00Z"})";
  for (const Reading& reading : decoded(message).readings)
    CHECK(reading.time_quality == TimeQuality::stamped);
}

TEST_CASE("a retained message is used only with a time of its own") {
  Message message = on("cellar/x/state", R"({"id":"f","sg":1.05,"t":20})");
  message.retained = true;
  CHECK(only_refusal(decoded(message)) == RefusalReason::retained);
  message.payload = R"({"id":"f","sg":1.05,"t":20,"at":"2026-03-01T12:00:00Z"})";
  CHECK(decoded(message).readings.size() == 2);
  message.payload = R"({"id":"f","sg":1.05,"t":20,"at":"2026-03-01T20:00:00Z"})";  // its clock is wrong
  CHECK(only_refusal(decoded(message)) == RefusalReason::retained);
  message.topic = "senml/x";
  message.payload = R"([{"n":"f:gravity","v":1.05}])";
  CHECK(only_refusal(decoded(message)) == RefusalReason::retained);
  message.topic = "probes/p/value";
  message.payload = "20";
  CHECK(only_refusal(decoded(message)) == RefusalReason::retained);
}

TEST_CASE("SenML that says nothing about beer is refused once") {
  CHECK(only_refusal(decoded(on("senml/x", R"([{"n":"f:humidity","u":"%RH","v":60},{"n":"f:co","v":1}])"))) ==
        RefusalReason::missing_field);
  CHECK(only_refusal(decoded(on("senml/x", R"([{"n":"gravity","v":1.05}])"))) == RefusalReason::no_sensor);
  CHECK(only_refusal(decoded(on("senml/x", R"([{"n":"f:gravity","v":1.05,"must_":1}])"))) ==
        RefusalReason::bad_pack);
  CHECK(only_refusal(decoded(on("senml/x", R"([{"bver":99,"n":"f:gravity","v":1.05}])"))) ==
        RefusalReason::bad_pack);
  CHECK(only_refusal(decoded(on("senml/x", R"([{"n":"f:gravity","bt":1e308,"t":1e308,"v":1.05}])"))) ==
        RefusalReason::bad_time);
  CHECK(only_refusal(decoded(on("senml/x", R"([{"n":"f:gravity","bv":1e308,"v":1e308}])"))) ==
        RefusalReason::not_a_number);
}

TEST_CASE("the first source that fits the topic is used") {
  Source named = number_source();
  named.filter = "probes/#";
  named.sensor = SensorNamed{"first"};
  CHECK(decode(on("probes/p/value", "20"), std::vector{named, number_source()}).readings[0].sensor ==
        "first");
  CHECK(only_refusal(decoded(on("elsewhere", "20"))) == RefusalReason::unmapped);
  CHECK(only_refusal(decode(on("probes/p/value", "20"), {})) == RefusalReason::unmapped);
}

TEST_CASE("payloads are read up to 64 KiB") {
  const std::string number = "20";
  CHECK(decoded(on("probes/p/value", number + std::string(64 * 1024 - number.size(), ' '))).readings.size() ==
        1);
  CHECK(only_refusal(decoded(on("probes/p/value", number + std::string(64 * 1024, ' ')))) ==
        RefusalReason::too_large);
}

TEST_CASE("one message cannot flood the journal with refusals") {
  std::string pack = "[";
  for (int i = 0; i < 1000; ++i) pack += R"({"n":"f:gravity","v":9},)";
  pack += R"({"n":"f:gravity","v":1.05}])";
  const auto result = decoded(on("senml/x", pack));
  CHECK(result.readings.size() == 1);
  CHECK(result.refusals.size() == kRefusalsPerMessage);
}

TEST_CASE("refusals can be shown whatever the bytes were") {
  const std::string bytes("\xFF\x00\x1B[2J{\"sg\":1}", 14);
  const auto result = decoded(on("cellar/\xFE/state", bytes));
  REQUIRE(result.refusals.size() == 1);
  CHECK(result.refusals[0].head == "???[2J{\"sg\":1}");
  CHECK(result.refusals[0].topic == "cellar/?/state");
}
