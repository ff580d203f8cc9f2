#include "ingest/senml.h"

#include <catch2/catch.hpp>

#include "support/reference.h"

using namespace gyle;

namespace {

Result<std::vector<SenmlRecord>> resolved(const std::string& pack) {
  const auto document = parse_json(pack);
  REQUIRE(std::holds_alternative<JsonValue>(document));
  return resolve_senml(std::get<JsonValue>(document));
}

}  // namespace

// RFC 8428 section 5.1 (tests/reference/senml.json).
TEST_CASE("the standard's packs resolve as printed there") {
  const auto vectors = test::reference_json("senml.json");
  int with_answer = 0;
  for (const auto& example : vectors["cases"]) {
    CAPTURE(example["section"]);
    const auto records = resolved(example["pack"].dump());
    REQUIRE(records.has_value());
    REQUIRE(records.value().size() == example["pack"].size());
    if (example.contains("resolved_names")) {
      for (std::size_t i = 0; i < records.value().size(); ++i) {
        CHECK(records.value()[i].name == example["resolved_names"][i]);
      }
    }
    if (!example.contains("resolved")) continue;
    ++with_answer;
    for (std::size_t i = 0; i < records.value().size(); ++i) {
      const auto& expected = example["resolved"][i];
      const SenmlRecord& record = records.value()[i];
      CAPTURE(i);
      CHECK(record.name == expected["n"]);
      CHECK(record.unit == expected["u"]);
      CHECK(record.is_absolute());
      CHECK(record.time_s == Approx(expected["t"].get<double>()).margin(1e-6).epsilon(0));
      REQUIRE(record.value.has_value());
      CHECK(*record.value == expected["v"].get<double>());
    }
  }
  CHECK(with_answer == 3);
}

TEST_CASE("a record without a number has no value") {
  const auto records =
      resolved(R"([{"n":"a","vs":"x"},{"n":"b","vb":false},{"n":"c","vd":"aGkgCg"},{"n":"d","s":1}])");
  REQUIRE(records.has_value());
  for (const auto& record : records.value()) CHECK_FALSE(record.value.has_value());
}

TEST_CASE("base values are added and hold until they are set again") {
  const auto records =
      resolved(R"([{"bn":"f:","bv":1,"bu":"/","n":"a","v":0.05},{"n":"a"},{"bv":2,"n":"a","v":0.5}])");
  REQUIRE(records.has_value());
  CHECK(records.value()[0].value == 1.05);
  CHECK(records.value()[1].value == 1.0);  // the missing one of base value and value is 0
  CHECK(records.value()[2].value == 2.5);
  CHECK(records.value()[2].unit == "/");
}

// RFC 8428 section 4.5.3: 2^28 is where absolute times begin.
TEST_CASE("times below 2^28 are relative") {
  const auto records = resolved(R"([{"n":"a","v":1},{"n":"a","t":-5,"v":1},{"n":"a","t":268435455,"v":1},
                                    {"n":"a","t":268435456,"v":1}])");
  REQUIRE(records.has_value());
  CHECK(records.value()[0].time_s == 0);
  CHECK_FALSE(records.value()[1].is_absolute());
  CHECK_FALSE(records.value()[2].is_absolute());
  CHECK(records.value()[3].is_absolute());
}

TEST_CASE("a pack that breaks the standard is refused whole") {
  struct Row {
    const char* name;
    const char* pack;
  };
  // RFC 8428: sections 4.1 to 4.5, and 4.4 for labels that must be understood.
  const auto row = GENERATE(values<Row>({
      {"object", R"({"n":"a","v":1})"},
      {"empty", "[]"},
      {"record is no object", R"([{"n":"a","v":1},2])"},
      {"label must be understood", R"([{"n":"a","v":1},{"n":"a","v":1,"x_":1}])"},
      {"newer version", R"([{"bver":11,"n":"a","v":1}])"},
      {"version is no integer", R"([{"bver":9.5,"n":"a","v":1}])"},
      {"version 0", R"([{"bver":0,"n":"a","v":1}])"},
      {"versions differ", R"([{"bver":5,"n":"a","v":1},{"bver":6,"n":"a","v":1}])"},
      {"version set late", R"([{"n":"a","v":1},{"bver":9,"n":"a","v":1}])"},
      {"two values", R"([{"n":"a","v":1,"vs":"x"}])"},
      {"no value", R"([{"n":"a","u":"Cel"}])"},
      {"value is text", R"([{"n":"a","v":"1"}])"},
      {"value is null", R"([{"n":"a","v":null}])"},
      {"name is a number", R"([{"n":1,"v":1}])"},
      {"no name", R"([{"v":1}])"},
      {"name begins with a colon", R"([{"n":":a","v":1}])"},
      {"space in the name", R"([{"n":"a b","v":1}])"},
      {"umlaut in the name", R"([{"n":"fässle","v":1}])"},
      {"time is text", R"([{"n":"a","t":"now","v":1}])"},
      {"update time is text", R"([{"n":"a","ut":"soon","v":1}])"},
      {"data with padding", R"([{"n":"a","vd":"aGkgCg=="}])"},
  }));
  CAPTURE(row.name);
  CHECK_FALSE(resolved(row.pack).has_value());
}

TEST_CASE("what the standard allows is not refused") {
  for (const char* pack :
       {R"([{"n":"a","v":1,"unknown":"x","x_y":[1]}])", R"([{"bver":5,"n":"a","v":1}])",
        R"([{"bver":10,"n":"a","v":1},{"bver":10,"n":"a","v":1}])", R"([{"bn":"f:"},{"n":"a","v":1}])",
        R"([{"n":"a","s":1,"v":1}])", R"([{"bn":"2001:db8::2/","n":"a","v":1,"ut":60}])"}) {
    CAPTURE(pack);
    CHECK(resolved(pack).has_value());
  }
}
