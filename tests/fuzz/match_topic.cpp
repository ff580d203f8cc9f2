// Input: a filter, a line break, a topic.
#include <cstdint>
#include <string>
#include <string_view>

#include "fuzz_check.h"
#include "ingest/topic_filter.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  const std::size_t line_end = input.find('\n');
  if (line_end == std::string_view::npos) return 0;
  const std::string_view filter = input.substr(0, line_end);
  const std::string_view topic = input.substr(line_end + 1);
  const bool matches = gyle::topic_matches(filter, topic);
  if (filter.find_first_of("+#") == std::string_view::npos && !topic.empty())
    FUZZ_CHECK(matches == (filter == topic));
  if (!gyle::check_topic_filter(filter) || topic.empty()) return 0;
  // A filter that ends in "/#" means all that begins with what stands before, and a "+" is any one level.
  if (matches && filter.back() != '#') FUZZ_CHECK(gyle::topic_levels(filter) == gyle::topic_levels(topic));
  if (matches) FUZZ_CHECK(topic.front() != '$' || filter.front() == '$');
  if (matches) FUZZ_CHECK(topic.front() == '$' || gyle::topic_matches("#", topic));
  return 0;
}
