#pragma once

#include <string>
#include <vector>

namespace gyle::test {

// A command as a person types it, cut into words as a shell would.
inline std::vector<std::string> typed_words(const std::string& command) {
  std::vector<std::string> all(1);
  bool quoted = false;
  for (const char c : command) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ' ' && !quoted) {
      all.emplace_back();
    } else {
      all.back() += c;
    }
  }
  return all;
}

}  // namespace gyle::test
