#include "reports/csv.h"

#include <fmt/format.h>

#include <cmath>

#include "base/rfc3339.h"

namespace gyle {
namespace {

void append_field(std::string& record, std::string_view field) {
  if (field.find_first_of(",\"\r\n") == std::string_view::npos) {
    record += field;
    return;
  }
  record += '"';
  for (const char c : field) {
    if (c == '"') record += '"';
    record += c;
  }
  record += '"';
}

}  // namespace

std::string csv_record(std::initializer_list<std::string_view> fields) {
  std::string record;
  for (const std::string_view field : fields) {
    append_field(record, field);
    record += ',';
  }
  if (!record.empty()) record.pop_back();
  return record + "\r\n";
}

std::string csv_number(std::optional<double> value, int decimals) {
  if (!value || !std::isfinite(*value)) return "";
  std::string text = fmt::format("{:.{}f}", *value, decimals);
  // A small negative number that rounds to nothing has no sign.
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string csv_text(std::string_view text) {
  constexpr std::string_view kDangerous[] = {"=",  "+",      "-",      "@",      "\t",    "\r",
                                             "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20"};
  for (const std::string_view sign : kDangerous) {
    if (text.starts_with(sign)) return "'" + std::string(text);
  }
  return std::string(text);
}

std::string csv_time(std::optional<double> seconds_since_epoch) {
  constexpr double kYear1 = -62135596800.0;
  constexpr double kYear10000 = 253402300800.0;
  if (!seconds_since_epoch || !std::isfinite(*seconds_since_epoch)) return "";
  const double whole = std::round(*seconds_since_epoch);
  if (whole < kYear1 || whole >= kYear10000) return "";
  return format_rfc3339(Time(seconds(static_cast<seconds::rep>(whole))));
}

}  // namespace gyle
