#include "support/json_schema.h"

#include <catch2/catch.hpp>

using namespace gyle::test;
using nlohmann::json;

// The check that the API is held to must itself find what is wrong. Rows after JSON Schema Validation
// 2020-12, sections 6 and 7.3.1; a number without a fraction is an integer (6.1.1).
TEST_CASE("the schema check finds what is wrong, and nothing else") {
  struct Row {
    const char* schema;
    const char* value;
    bool good;
  };
  const auto row = GENERATE(values<Row>({
      {R"({"type": "integer"})", "5", true},
      {R"({"type": "integer"})", "5.0", true},
      {R"({"type": "integer"})", "5.5", false},
      {R"({"type": "number"})", "\"5\"", false},
      {R"({"type": ["number", "null"]})", "null", true},
      {R"({"type": ["number", "null"]})", "true", false},
      {R"({"enum": ["a", "b"]})", "\"b\"", true},
      {R"({"enum": ["a", "b"]})", "\"c\"", false},
      {R"({"minimum": 1, "maximum": 3})", "3", true},
      {R"({"minimum": 1, "maximum": 3})", "4", false},
      {R"({"minimum": 1})", "0", false},
      {R"({"maxLength": 2})", "\"\u00e4\u00f6\"", true},
      {R"({"maxLength": 2})", "\"abc\"", false},
      {R"({"minLength": 1})", "\"\"", false},
      {R"({"format": "date-time"})", "\"2026-03-01T18:30:00Z\"", true},
      {R"({"format": "date-time"})", "\"2026-03-01 18:30\"", false},
      {R"({"items": {"type": "string"}})", R"(["a", 5])", false},
      {R"({"minItems": 2, "maxItems": 2})", "[1, 2]", true},
      {R"({"minItems": 2})", "[1]", false},
      {R"({"maxItems": 2})", "[1, 2, 3]", false},
      {R"({"properties": {"a": {"type": "number"}}, "required": ["a"], "additionalProperties": false})",
       R"({"a": 1})", true},
      {R"({"properties": {"a": {"type": "number"}}, "required": ["a"]})", "{}", false},
      {R"({"properties": {"a": {"type": "number"}}, "additionalProperties": false})", R"({"b": 1})", false},
      {R"({"properties": {"a": {"type": "number"}}})", R"({"a": "1"})", false},
      {R"({"additionalProperties": {"type": "number"}})", R"({"b": "1"})", false},
      {R"({"oneOf": [{"type": "number"}, {"type": "string"}]})", "5", true},
      {R"({"oneOf": [{"type": "number"}, {"minimum": 1}]})", "5", false},
      {R"({"oneOf": [{"type": "null"}, {"type": "string"}]})", "5", false},
      {R"({"$ref": "#/a/b"})", "\"text\"", true},
      {R"({"$ref": "#/a/b"})", "5", false},
      {R"({"pattern": "^a"})", "\"a\"", false},  // not supported: said rather than passed over
  }));
  CAPTURE(row.schema, row.value);
  const json document = json::parse(R"({"a": {"b": {"type": "string"}}})");
  CHECK(SchemaCheck(document).check(json::parse(row.schema), json::parse(row.value)).empty() == row.good);
}
