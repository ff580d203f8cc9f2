// Input: a request target. Whatever it is, it is refused with a sentence, or what it was taken apart into
// says the same when it is written again.
#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>

#include "base/text.h"
#include "control/request_target.h"
#include "fuzz_check.h"

namespace {

using namespace gyle;

// Every segment is followed by a slash, for an empty last one could not be seen otherwise.
std::string written(const RequestTarget& target) {
  std::string text = "/";
  for (const std::string& segment : target.segments) text += percent_encoded(segment) + "/";
  char between = '?';
  for (const auto& [key, value] : target.query) {
    text += between + percent_encoded(key) + "=" + percent_encoded(value);
    between = '&';
  }
  return text;
}

void check_lines(std::string_view text) {
  const std::string encoded = percent_encoded(text);
  FUZZ_CHECK(encoded.size() <= 3 * text.size());
  FUZZ_CHECK(std::all_of(encoded.begin(), encoded.end(), [](char c) { return c > ' ' && c < '\x7F'; }));
  FUZZ_CHECK(encoded.find_first_of("/?#&=+") == std::string::npos);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  check_lines(input);
  const auto parsed = parse_request_target(input);
  if (!parsed) {
    FUZZ_CHECK(parsed.error().code == Errc::malformed && is_clean_text(parsed.error().message));
    FUZZ_CHECK(!input.starts_with('/') || input.find('%') != std::string_view::npos);
    return 0;
  }
  FUZZ_CHECK(input.starts_with('/'));
  const RequestTarget& target = parsed.value();
  std::size_t decoded = 0;
  for (const std::string& segment : target.segments) decoded += segment.size();
  for (const auto& [key, value] : target.query) decoded += key.size() + value.size();
  FUZZ_CHECK(decoded < input.size());
  const auto again = parse_request_target(written(target));
  FUZZ_CHECK(again.has_value());
  FUZZ_CHECK(again.value().segments == target.segments && again.value().query == target.query);
  return 0;
}
