#pragma once

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "base/text.h"

// Stops the fuzzer, with the line, when a promise is broken. Not an assert: it also holds in Release.
#define FUZZ_CHECK(condition)                                                      \
  do {                                                                             \
    if (!(condition)) {                                                            \
      std::fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #condition); \
      std::abort();                                                                \
    }                                                                              \
  } while (false)

enum class Utf8 { only, any };

// A message of one or more lines, each of which begins with the file's name and can be shown.
inline void check_lines(std::string_view message, std::string_view begins, Utf8 utf8 = Utf8::only) {
  FUZZ_CHECK(!message.empty());
  while (!message.empty()) {
    const std::string_view line = message.substr(0, message.find('\n'));
    FUZZ_CHECK(line.starts_with(begins));
    FUZZ_CHECK(utf8 == Utf8::any || gyle::is_clean_text(line));
    message.remove_prefix(std::min(line.size() + 1, message.size()));
  }
}
