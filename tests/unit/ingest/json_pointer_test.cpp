#include "ingest/json_pointer.h"

#include <catch2/catch.hpp>

#include "support/reference.h"

using namespace gyle;

namespace {

JsonValue parsed(const std::string& text) {
  auto document = parse_json(text);
  REQUIRE(std::holds_alternative<JsonValue>(document));
  return std::get<JsonValue>(std::move(document));
}

bool same(const JsonValue& ours, const nlohmann::json& theirs) {
  if (theirs.is_array()) {
    if (!ours.array() || ours.array()->size() != theirs.size()) return false;
    for (std::size_t i = 0; i < theirs.size(); ++i) {
      if (!same((*ours.array())[i], theirs[i])) return false;
    }
    return true;
  }
  if (theirs.is_object()) {
    if (!ours.object() || ours.object()->size() != theirs.size()) return false;
    for (const auto& [key, value] : theirs.items()) {
      if (!ours.member(key) || !same(*ours.member(key), value)) return false;
    }
    return true;
  }
  if (theirs.is_string()) return ours.string() && *ours.string() == theirs.get<std::string>();
  return theirs.is_number() && ours.number() && *ours.number() == theirs.get<double>();
}

}  // namespace

// RFC 6901 section 5 (tests/reference/json_pointer.json).
TEST_CASE("pointers lead where the standard says") {
  const auto vectors = test::reference_json("json_pointer.json");
  const JsonValue document = parsed(vectors["document"].dump());
  REQUIRE(vectors["string_form"].size() == 12);
  for (const auto& row : vectors["string_form"]) {
    const std::string pointer = row[0];
    CAPTURE(pointer);
    const JsonValue* found = find(document, pointer);
    REQUIRE(found);
    CHECK(same(*found, row[1] == "WHOLE_DOCUMENT" ? vectors["document"] : row[1]));
    CHECK(check_json_pointer(pointer).has_value());
  }
}

TEST_CASE("pointers that the standard forbids or that lead nowhere find nothing") {
  const auto vectors = test::reference_json("json_pointer.json");
  const JsonValue document = parsed(vectors["document"].dump());
  for (const std::string pointer : vectors["must_fail"]) {
    CAPTURE(pointer);
    CHECK_FALSE(find(document, pointer));
  }
  for (const std::string pointer : {"foo", "/m~n", "/m~2n", "/~", "#/foo"}) {
    CAPTURE(pointer);
    CHECK_FALSE(check_json_pointer(pointer).has_value());
  }
}

// RFC 6901 section 4: ~1 is decoded before ~0, so that "~01" is the key "~1".
TEST_CASE("escapes are decoded in the right order") {
  const JsonValue document = parsed(R"({"~1": 1, "/": 2})");
  CHECK(*find(document, "/~01")->number() == 1);
  CHECK(*find(document, "/~1")->number() == 2);
}

TEST_CASE("an index beyond all numbers finds nothing") {
  const JsonValue document = parsed("[1,2]");
  CHECK(*find(document, "/1")->number() == 2);
  for (const char* pointer : {"/2", "/18446744073709551616", "/-1", "/+1", "/1 ", "/", "/0x1", "/1/0"}) {
    CAPTURE(pointer);
    CHECK_FALSE(find(document, pointer));
  }
}
