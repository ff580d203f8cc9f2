#include "replay/readings_csv.h"

#include <fmt/format.h>

#include <charconv>

#include "base/rfc3339.h"

namespace gyle {
namespace {

constexpr std::string_view kHeader = "time,sensor,quantity,value";

std::string_view shown(std::string_view field) { return field.substr(0, 40); }

}  // namespace

Status ReadingsCsv::feed(std::string_view bytes, std::vector<Reading>& readings) {
  return records_.feed(bytes, [&](std::size_t line, const std::vector<std::string>& fields) {
    return take(line, fields, readings);
  });
}

Status ReadingsCsv::finish(std::vector<Reading>& readings) {
  BOOST_OUTCOME_TRYV(records_.finish([&](std::size_t line, const std::vector<std::string>& fields) {
    return take(line, fields, readings);
  }));
  if (header_read_) return success();
  return malformed_csv(file_, 1, fmt::format("the file is empty; it must begin with the header {}", kHeader));
}

Status ReadingsCsv::take(std::size_t line, const std::vector<std::string>& fields,
                         std::vector<Reading>& readings) {
  if (!header_read_) {
    const std::string header = fmt::format("{}", fmt::join(fields, ","));
    if (header != kHeader) {
      return malformed_csv(file_, line,
                           fmt::format("the header is '{}'; it must be exactly {}", shown(header), kHeader));
    }
    header_read_ = true;
    return success();
  }
  if (fields.size() == 1 && fields.front().empty()) return success();  // an empty line
  BOOST_OUTCOME_TRY(reading, read_row(line, fields));
  readings.push_back(std::move(reading));
  return success();
}

Result<Reading> ReadingsCsv::read_row(std::size_t line, const std::vector<std::string>& fields) const {
  if (fields.size() != 4) {
    return malformed_csv(file_, line,
                         fmt::format("{} fields where there must be 4: {}", fields.size(), kHeader));
  }
  const std::string& value_text = fields[3];
  const auto time = parse_rfc3339(fields[0]);
  if (!time) return malformed_csv(file_, line, time.error().message);
  if (fields[1].empty()) return malformed_csv(file_, line, "the sensor is empty");
  const auto quantity = quantity_named(fields[2]);
  if (!quantity) {
    return malformed_csv(file_, line,
                         fmt::format("'{}' is no quantity; one of gravity, inclination, beer_temperature, "
                                     "ambient_temperature, battery, sample",
                                     shown(fields[2])));
  }
  double value = 0;
  const char* const end = value_text.data() + value_text.size();
  const auto [stop, error] = std::from_chars(value_text.data(), end, value);
  if (error != std::errc{} || stop != end) {
    return malformed_csv(file_, line, fmt::format("'{}' is not a number such as 1.048", shown(value_text)));
  }
  return Reading{time.value(), fields[1], *quantity, value, TimeQuality::stamped};
}

}  // namespace gyle
