#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

struct TomlMember;

// A value of a TOML 1.0 document and the line on which it stands.
struct TomlValue {
  using Array = std::vector<TomlValue>;
  using Table = std::vector<TomlMember>;
  struct Local {};  // a date or time without an offset: which instant it means cannot be known

  int line = 1;
  std::variant<Table, Array, std::string, std::int64_t, double, bool, Time, Local> is;
};

struct TomlMember {
  std::string key;
  TomlValue value;
};

// Reads a document; the result is a table. Any bytes; never throws. Errc::malformed: "FILE:LINE: what".
Result<TomlValue> parse_toml(std::string_view text, std::string_view file_name);

}  // namespace gyle
