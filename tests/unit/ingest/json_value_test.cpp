#include "ingest/json_value.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

const JsonComplaint* complaint(const std::variant<JsonValue, JsonComplaint>& result) {
  return std::get_if<JsonComplaint>(&result);
}

}  // namespace

// RFC 8259: anything outside its grammar is not JSON.
TEST_CASE("what is not JSON is refused") {
  for (const std::string text :
       {"",          " ",    "{",    "[1,]", "{\"a\":1,}", "NaN",     "[NaN]", "[Infinity]",     "{'a':1}",
        "[1] x",     "[01]", "[.5]", "[1.]", "[+1]",       "[1,5 ,]", "\xFF",  "[\"\xC0\xAF\"]", "[\"\n\"]",
        "/* c */ 1", "truE"}) {
    CAPTURE(text);
    const auto result = parse_json(text);
    REQUIRE(complaint(result));
    CHECK(complaint(result)->reason == RefusalReason::not_json);
  }
}

TEST_CASE("a zero byte does not end the text") {
  using namespace std::string_view_literals;
  for (const auto text : {"7\0"sv, "[1]\0[2]"sv, "\0"sv, "[\"a\0b\"]"sv}) {
    CHECK(complaint(parse_json(text)));
  }
}

TEST_CASE("a number that no double can hold is refused as such") {
  for (const std::string text : {"1e999", "[1, -1e999]", "{\"sg\":1e400}"}) {
    CAPTURE(text);
    const auto result = parse_json(text);
    REQUIRE(complaint(result));
    CHECK(complaint(result)->reason == RefusalReason::not_a_number);
  }
}

TEST_CASE("nesting is read to a depth of 32 and no deeper") {
  const auto nested = [](std::size_t depth) { return std::string(depth, '[') + std::string(depth, ']'); };
  CHECK_FALSE(complaint(parse_json(nested(32))));
  CHECK(complaint(parse_json(nested(33))));
  CHECK(complaint(parse_json(nested(60000))));
  CHECK(complaint(parse_json(std::string(60000, '['))));
}

TEST_CASE("the last of several equal keys counts, as most readers have it") {
  const auto result = parse_json(R"({"a":1,"a":2})");
  CHECK(*std::get<JsonValue>(result).member("a")->number() == 2);
}

TEST_CASE("whole numbers stay exact") {
  const auto result = parse_json("[9007199254740993, 9223372036854775807, 18446744073709551615, 1.0]");
  const auto& array = *std::get<JsonValue>(result).array();
  CHECK(std::get<JsonNumber>(array[0].is).integer == 9007199254740993);
  CHECK(std::get<JsonNumber>(array[1].is).integer == 9223372036854775807);
  CHECK_FALSE(std::get<JsonNumber>(array[2].is).integer.has_value());
  CHECK_FALSE(std::get<JsonNumber>(array[3].is).integer.has_value());
}
