// Input: a batch file. What is accepted is valid, and once written again reads back as the same text.
#include <cstdint>

#include "base/text.h"
#include "config/batch_file.h"
#include "config/batch_validation.h"
#include "fuzz_check.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto batch = gyle::parse_batch({reinterpret_cast<const char*>(data), size}, "f.toml");
  if (!batch) {
    check_lines(batch.error().message, "f.toml:");
    return 0;
  }
  FUZZ_CHECK(gyle::validate(batch.value()).has_value());
  const std::string text = gyle::format_batch(batch.value());
  const auto again = gyle::parse_batch(text, "f.toml");
  FUZZ_CHECK(again.has_value());
  FUZZ_CHECK(gyle::format_batch(again.value()) == text);
  return 0;
}
