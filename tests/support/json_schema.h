#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "base/rfc3339.h"

namespace gyle::test {

// Validates JSON against the part of JSON Schema that our documents use. An unknown keyword is a finding too,
// so that every keyword in them is checked.
//   source  JSON Schema 2020-12, core and validation; OpenAPI 3.1.0 uses that dialect
class SchemaCheck {
 public:
  using Json = nlohmann::json;

  explicit SchemaCheck(const Json& document) : document_(document) {}

  // The findings, each with its place in `value`; empty: valid.
  std::vector<std::string> check(const Json& schema, const Json& value) {
    findings_.clear();
    look(schema, value, "");
    return findings_;
  }

  // Every property seen in a valid object, as "<schema's name>/<property>"; longer for nested objects.
  const std::set<std::string>& seen() const { return seen_; }

  const Json& resolve(const Json& schema, std::string* name = nullptr) const {
    if (!schema.contains("$ref")) return schema;
    const std::string ref = schema["$ref"];
    if (name != nullptr) *name = ref.substr(ref.rfind('/') + 1);
    return document_.at(Json::json_pointer(ref.substr(1)));
  }

 private:
  static bool is_type(const std::string& type, const Json& value) {
    if (type == "integer") {
      return value.is_number_integer() ||
             (value.is_number_float() && std::floor(value.get<double>()) == value);
    }
    return (type == "object" && value.is_object()) || (type == "array" && value.is_array()) ||
           (type == "string" && value.is_string()) || (type == "number" && value.is_number()) ||
           (type == "boolean" && value.is_boolean()) || (type == "null" && value.is_null());
  }

  static std::size_t characters(const std::string& text) {
    return static_cast<std::size_t>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
  }

  void look(const Json& given, const Json& value, const std::string& where) {
    std::string name = name_;
    const Json& schema = resolve(given, &name);
    const std::string outer = std::exchange(name_, name);
    const auto wrong = [&](const std::string& what) {
      findings_.push_back((where.empty() ? "/" : where) + ": " + what + ": " + value.dump().substr(0, 80));
    };
    for (const auto& [keyword, rule] : schema.items()) {
      if (keyword == "description" || keyword == "default") continue;
      if (keyword == "type") {
        bool good = false;
        for (const Json& type : rule.is_array() ? rule : Json::array({rule}))
          good = good || is_type(type, value);
        if (!good) wrong("is no " + rule.dump());
      } else if (keyword == "enum") {
        if (std::find(rule.begin(), rule.end(), value) == rule.end()) wrong("is none of " + rule.dump());
      } else if (keyword == "const") {
        if (value != rule) wrong("is not " + rule.dump());
      } else if (keyword == "minimum") {
        if (value.is_number() && value < rule) wrong("is below " + rule.dump());
      } else if (keyword == "maximum") {
        if (value.is_number() && value > rule) wrong("is above " + rule.dump());
      } else if (keyword == "minLength") {
        if (value.is_string() && characters(value) < rule) wrong("is too short");
      } else if (keyword == "maxLength") {
        if (value.is_string() && characters(value) > rule) wrong("is too long");
      } else if (keyword == "minItems") {
        if (value.is_array() && value.size() < rule) wrong("has too few items");
      } else if (keyword == "maxItems") {
        if (value.is_array() && value.size() > rule) wrong("has too many items");
      } else if (keyword == "format") {
        if (rule != "date-time") wrong("no check for the format " + rule.dump());
        if (value.is_string() && !parse_rfc3339(value.get<std::string>())) wrong("is no date-time");
      } else if (keyword == "items") {
        for (std::size_t i = 0; value.is_array() && i < value.size(); ++i)
          look(rule, value[i], where + "/" + std::to_string(i));
      } else if (keyword == "required") {
        for (const std::string key : rule) {
          if (value.is_object() && !value.contains(key)) wrong("lacks " + key);
        }
      } else if (keyword == "properties") {
        for (const auto& [key, inner] : rule.items()) {
          if (!value.is_object() || !value.contains(key)) continue;
          const std::string before = std::exchange(name_, name_ + "/" + key);
          seen_.insert(name_);
          look(inner, value[key], where + "/" + key);
          name_ = before;
        }
      } else if (keyword == "additionalProperties") {
        if (!value.is_object()) continue;
        for (const auto& [key, inner] : value.items()) {
          if (schema.contains("properties") && schema["properties"].contains(key)) continue;
          if (rule == false) {
            wrong("has " + key + ", which is not in the document");
          } else {
            look(rule, inner, where + "/" + key);
          }
        }
      } else if (keyword == "oneOf") {
        int good = 0;
        for (const Json& one : rule) {
          SchemaCheck alone(document_);
          alone.name_ = name_;
          if (!alone.check(one, value).empty()) continue;
          ++good;
          seen_.insert(alone.seen_.begin(), alone.seen_.end());
        }
        if (good != 1) wrong("is " + std::to_string(good) + " of the schemas of oneOf, not one");
      } else {
        wrong("no check for the keyword " + keyword);
      }
    }
    name_ = outer;
  }

  const Json& document_;
  std::vector<std::string> findings_;
  std::set<std::string> seen_;
  std::string name_;  // of the current schema
};

}  // namespace gyle::test
