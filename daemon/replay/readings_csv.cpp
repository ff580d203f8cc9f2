#include "replay/readings_csv.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "base/rfc3339.h"

namespace gyle {
namespace {

constexpr std::size_t kMaxRecordBytes = 4096;
constexpr std::string_view kHeader = "time,sensor,quantity,value";

std::string_view shown(std::string_view field) { return field.substr(0, 40); }

}  // namespace

ReadingsCsv::Failure ReadingsCsv::malformed(std::size_t line, std::string what) const {
  // What the file holds must not reach a terminal as control characters.
  for (char& c : what) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
  }
  return fail(Errc::malformed, fmt::format("{}:{}: {}", file_, line, what));
}

Status ReadingsCsv::feed(std::string_view bytes, std::vector<Reading>& readings) {
  for (const char c : bytes) {
    BOOST_OUTCOME_TRYV(take(c, readings));
  }
  return success();
}

Status ReadingsCsv::finish(std::vector<Reading>& readings) {
  if (at_ == At::quoted) {
    return malformed(record_line_, "the file ends inside a quoted field");
  }
  if (at_ == At::after_cr) {
    return malformed(line_, "the file ends after a carriage return");
  }
  if (record_bytes_ > 0) {
    BOOST_OUTCOME_TRYV(end_record(readings));
  }
  if (!header_read_) {
    return malformed(1, fmt::format("the file is empty; it must begin with the header {}", kHeader));
  }
  return success();
}

Status ReadingsCsv::take(char c, std::vector<Reading>& readings) {
  if (at_ == At::after_cr && c != '\n') {
    return malformed(line_, "a carriage return without a line feed after it");
  }
  if (++record_bytes_ > kMaxRecordBytes) {
    return malformed(record_line_, fmt::format("a row longer than {} bytes", kMaxRecordBytes));
  }
  if (at_ == At::quoted) {
    if (c == '"') {
      at_ = At::after_quote;
    } else {
      if (c == '\n') ++line_;
      fields_.back() += c;
    }
    return success();
  }
  switch (c) {
    case '\n':
      ++line_;
      return end_record(readings);
    case '\r':
      at_ = At::after_cr;
      return success();
    case ',':
      fields_.emplace_back();
      at_ = At::field_start;
      return success();
    case '"':
      if (at_ == At::unquoted) {
        return malformed(line_, "a quote inside a field that does not begin with one");
      }
      if (at_ == At::after_quote) fields_.back() += '"';
      at_ = At::quoted;
      return success();
    default:
      if (at_ == At::after_quote) {
        return malformed(line_, "text after the closing quote of a field");
      }
      fields_.back() += c;
      at_ = At::unquoted;
      return success();
  }
}

Status ReadingsCsv::end_record(std::vector<Reading>& readings) {
  const bool empty_line = fields_.size() == 1 && fields_.front().empty();
  if (!header_read_) {
    BOOST_OUTCOME_TRYV(read_header());
    header_read_ = true;
  } else if (!empty_line) {
    BOOST_OUTCOME_TRY(reading, read_row());
    readings.push_back(std::move(reading));
  }
  fields_.assign(1, "");
  at_ = At::field_start;
  record_line_ = line_;
  record_bytes_ = 0;
  return success();
}

Status ReadingsCsv::read_header() const {
  const std::string header = fmt::format("{}", fmt::join(fields_, ","));
  if (header == kHeader) return success();
  return malformed(record_line_,
                   fmt::format("the header is '{}'; it must be exactly {}", shown(header), kHeader));
}

Result<Reading> ReadingsCsv::read_row() const {
  if (fields_.size() != 4) {
    return malformed(record_line_,
                     fmt::format("{} fields where there must be 4: {}", fields_.size(), kHeader));
  }
  const std::string& value_text = fields_[3];
  const auto time = parse_rfc3339(fields_[0]);
  if (!time) return malformed(record_line_, time.error().message);
  if (fields_[1].empty()) return malformed(record_line_, "the sensor is empty");
  const auto quantity = quantity_named(fields_[2]);
  if (!quantity) {
    return malformed(record_line_, fmt::format("'{}' is no quantity; one of gravity, tilt, beer_temperature, "
                                               "ambient_temperature, battery, sample",
                                               shown(fields_[2])));
  }
  double value = 0;
  const char* const end = value_text.data() + value_text.size();
  const auto [stop, error] = std::from_chars(value_text.data(), end, value);
  if (error != std::errc{} || stop != end) {
    return malformed(record_line_, fmt::format("'{}' is not a number such as 1.048", shown(value_text)));
  }
  return Reading{time.value(), fields_[1], *quantity, value, TimeQuality::stamped};
}

}  // namespace gyle
