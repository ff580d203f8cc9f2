// Input: a configuration. It is read or refused with its name in front, and never anything else.
#include <cstdint>

#include "base/text.h"
#include "config/settings_file.h"
#include "fuzz_check.h"
#include "ingest/topic_filter.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto settings = gyle::parse_settings({reinterpret_cast<const char*>(data), size}, "f.toml");
  if (!settings) {
    check_lines(settings.error().message, "f.toml:");
    return 0;
  }
  for (const gyle::Source& source : settings.value().sources) {
    FUZZ_CHECK(gyle::check_topic_filter(source.filter).has_value());
    FUZZ_CHECK(source.format == gyle::Source::Format::senml || (source.sensor && !source.fields.empty()));
  }
  return 0;
}
