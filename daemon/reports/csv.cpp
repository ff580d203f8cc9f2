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

std::string csv_time(Time time) {
  constexpr Time kYear1{seconds(-62135596800)}, kYear10000{seconds(253402300800)};
  if (time < kYear1 || time >= kYear10000 - Duration(500)) return "";
  return format_rfc3339(std::chrono::floor<seconds>(time + Duration(500)));
}

}  // namespace gyle
