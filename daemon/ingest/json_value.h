#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "ingest/refusal.h"

namespace gyle {

struct JsonNumber {
  double value;                         // finite
  std::optional<std::int64_t> integer;  // when it was written as one and fits
};

struct JsonMember;

// A JSON document (RFC 8259), immutable once read.
struct JsonValue {
  using Array = std::vector<JsonValue>;
  using Object = std::vector<JsonMember>;  // in the order of the document

  std::variant<std::nullptr_t, bool, JsonNumber, std::string, Array, Object> is;

  const double* number() const;
  const std::string* string() const { return std::get_if<std::string>(&is); }
  const Array* array() const { return std::get_if<Array>(&is); }
  const Object* object() const { return std::get_if<Object>(&is); }

  // The member called `key`, the last one when there are several; null when there is none or this is no
  // object.
  const JsonValue* member(std::string_view key) const;
};

struct JsonMember {
  std::string key;
  JsonValue value;
};

constexpr int kJsonDepth = 32;  // how deep arrays and objects may be nested

struct JsonComplaint {
  RefusalReason reason;  // not_json, or not_a_number for a number that no double can hold
  std::string detail;
};

// Reads a whole text as one document. Any bytes; never throws.
std::variant<JsonValue, JsonComplaint> parse_json(std::string_view text);

}  // namespace gyle
