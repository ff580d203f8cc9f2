// Input: a format, a line break, a text. A format that is accepted reads a time of a year that a file can
// have, or refuses the text; what RFC 3339 writes reads back as itself.
#include <cstdint>
#include <string_view>

#include "base/rfc3339.h"
#include "fuzz_check.h"
#include "replay/written_time.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace gyle;
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  const std::size_t line_end = input.find('\n');
  if (line_end == std::string_view::npos) return 0;
  const std::string_view format = input.substr(0, line_end), text = input.substr(line_end + 1);
  const auto checked = check_time_format(format);
  if (!checked) FUZZ_CHECK(!checked.error().message.empty());
  for (const std::string_view one : {format, std::string_view()}) {
    if (one == format && !checked) continue;
    const auto read = read_written_time(text, one);
    if (!read) {
      FUZZ_CHECK(!read.error().message.empty());
      continue;
    }
    FUZZ_CHECK(!text.empty());
    // The years 0000 to 9999, and a day of offset at either end.
    const auto day = std::chrono::floor<std::chrono::days>(Time(read.value().since_1970));
    FUZZ_CHECK(day >= std::chrono::sys_days(std::chrono::year(0) / 1 / 1) - std::chrono::days(1));
    FUZZ_CHECK(day <= std::chrono::sys_days(std::chrono::year(9999) / 12 / 31) + std::chrono::days(1));
  }
  if (const auto time = parse_rfc3339(text)) {
    const auto again = parse_rfc3339(format_rfc3339(time.value()));
    FUZZ_CHECK(!again || again.value() == time.value());
    const auto written = read_written_time(text, "");
    FUZZ_CHECK(written && !written.value().local);
    FUZZ_CHECK(written.value().since_1970 == time.value().time_since_epoch());
  }
  return 0;
}
