#include "notices/body_template.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "support/made_up_notice.h"

using namespace gyle;

TEST_CASE("placeholders are replaced") {
  struct Row {
    const char* text;
    const char* expected;
  };
  const auto row = GENERATE(values<Row>({
      {"plain", "plain"},
      {"", ""},
      {"{title}", "Amber no. 12: the fall has stopped"},
      {"{kind}/{severity}/{state}", "stuck/warning/raised"},
      {"{vessel}, {batch}, [{sensor}]", "cellar, Amber no. 12, []"},
      {"{id} at {time}", "7-12-raised at 2026-03-01T18:30:00Z"},
      {"{{text} {{", "{text} {"},
      {R"({"a": {"b": "{kind}"}})", R"({"a": {"b": "stuck"}})"},
      {"{ text } {}", "{ text } {}"},
  }));
  CHECK(BodyTemplate::parse(row.text).value().fill(test::made_up_notice(), Insert::plain) == row.expected);
}

TEST_CASE("an unknown or unclosed placeholder is an error") {
  const auto [text, expected] = GENERATE(table<const char*, const char*>({
      {"{txet}", "\"{txet}\" is unknown; valid are {id} {time} {kind}"},
      {"{text", "\"{text\" has no closing brace"},
      {"{text\n}", "has no closing brace"},
      {"{a {b}}", "has no closing brace"},
  }));
  const auto parsed = BodyTemplate::parse(text);
  REQUIRE_FALSE(parsed.has_value());
  CHECK(parsed.error().code == Errc::malformed);
  CHECK_THAT(parsed.error().message, Catch::Contains(expected));
}

TEST_CASE("inserted values are escaped") {
  Notice notice = test::made_up_notice();
  notice.text = "a \"b\" \\ c\nd=e&f {kind} ä\x01";
  SECTION("in JSON") {
    const std::string body =
        BodyTemplate::parse(R"({"message": "{text}"})").value().fill(notice, Insert::json);
    CHECK(nlohmann::json::parse(body)["message"] == notice.text);
  }
  SECTION("in a form, as in the URL standard of WHATWG") {
    CHECK(BodyTemplate::parse("m={text}&x=1").value().fill(notice, Insert::form) ==
          "m=a+%22b%22+%5C+c%0Ad%3De%26f+%7Bkind%7D+%C3%A4%01&x=1");
  }
  SECTION("in a header, as one line of limited length") {
    CHECK(BodyTemplate::parse("{text}").value().fill(notice, Insert::header) ==
          "a \"b\" \\ c d=e&f {kind} ä ");
    notice.text = "x\r\nSet-Cookie: y\x7f\xff" + std::string(5000, 'z');
    const std::string value = BodyTemplate::parse("{text}").value().fill(notice, Insert::header);
    CHECK(is_clean_text(value));
    CHECK(value.size() == 1000);
  }
}

TEST_CASE("the media type of a body decides the escaping") {
  CHECK(insert_for("application/json") == Insert::json);
  CHECK(insert_for("Application/JSON; charset=utf-8") == Insert::json);
  CHECK(insert_for("application/problem+json") == Insert::json);
  CHECK(insert_for("application/x-www-form-urlencoded") == Insert::form);
  CHECK(insert_for("text/plain; charset=utf-8") == Insert::plain);
  CHECK(insert_for("text/plain; not=application/json") == Insert::plain);
}
