// Input: a byte of options, a time format, a line break, a CSV. Cut anywhere, a file gives the same records;
// recorded readings and a mapped file give readings that are plausible, or an error with its line.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "fuzz_check.h"
#include "replay/csv_records.h"
#include "replay/mapped_csv.h"
#include "replay/readings_csv.h"
#include "replay/written_time.h"

namespace {

using namespace gyle;

// All records as one text, and the error.
std::string records(std::string_view csv, char separator, std::size_t piece) {
  CsvRecords reader("f.csv", separator);
  std::string all;
  const auto take = [&all](std::size_t line, const std::vector<std::string>& fields) -> Status {
    all += std::to_string(line);
    for (const std::string& field : fields) all += '\x1f' + field;
    all += '\x1e';
    return success();
  };
  for (std::size_t at = 0; at < csv.size(); at += piece) {
    if (const auto fed = reader.feed(csv.substr(at, piece), take); !fed) return all + fed.error().message;
  }
  if (const auto ended = reader.finish(take); !ended) return all + ended.error().message;
  return all;
}

void check_readings(std::string_view csv) {
  ReadingsCsv reader("f.csv");
  std::vector<Reading> readings;
  Status read = reader.feed(csv, readings);
  if (read) read = reader.finish(readings);
  if (!read) check_lines(read.error().message, "f.csv:", Utf8::any);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  const std::size_t line_end = input.find('\n');
  if (line_end == std::string_view::npos || line_end < 1) return 0;
  const auto options = static_cast<unsigned>(data[0]);
  const std::string_view csv = input.substr(line_end + 1);
  CsvMapping mapping;
  mapping.separator = ",;\t|"[options & 3U];
  mapping.gravity_in_plato = (options & 4U) != 0;
  mapping.fahrenheit = (options & 8U) != 0;
  mapping.time_format = std::string(input.substr(1, line_end - 1));
  mapping.time_column = "Date";
  mapping.gravity_column = "SG";
  mapping.temperature_column = (options & 16U) != 0 ? "Temp" : "";
  mapping.ambient_column = (options & 32U) != 0 ? "Room" : "";

  FUZZ_CHECK(records(csv, mapping.separator, csv.size() + 1) == records(csv, mapping.separator, 1));
  check_readings(csv);
  if (!check_time_format(mapping.time_format)) return 0;
  const auto read = read_mapped_csv("f.csv", csv, mapping, "import:x", [](Duration shown) -> Result<Time> {
    if (shown.count() % 7 == 0) return fail(Errc::out_of_range, "the clock never shows that");
    return Time(shown);
  });
  if (!read) {
    check_lines(read.error().message, "f.csv:", Utf8::any);
    return 0;
  }
  const MappedReadings& all = read.value();
  FUZZ_CHECK(all.used > 0 && all.used + all.refused_rows.size() == all.rows);
  FUZZ_CHECK(all.used >= all.refused_rows.size());
  std::size_t gravities = 0;
  for (const Reading& reading : all.readings) {
    FUZZ_CHECK(std::isfinite(reading.value));
    const bool gravity = reading.quantity == Quantity::gravity;
    if (gravity) ++gravities;
    FUZZ_CHECK(gravity ? reading.value >= 0.9 && reading.value <= 1.3
                       : reading.value >= -30.001 && reading.value <= 60.001);
  }
  FUZZ_CHECK(gravities == all.used);
  FUZZ_CHECK(std::is_sorted(all.readings.begin(), all.readings.end(),
                            [](const Reading& a, const Reading& b) { return a.time < b.time; }));
  return 0;
}
