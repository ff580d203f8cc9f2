#pragma once

#include <cstdio>
#include <cstdlib>

// Stops the fuzzer, with the line, when a promise is broken. Not an assert: it also holds in Release.
#define FUZZ_CHECK(condition)                                                      \
  do {                                                                             \
    if (!(condition)) {                                                            \
      std::fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #condition); \
      std::abort();                                                                \
    }                                                                              \
  } while (false)
