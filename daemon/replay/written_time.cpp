#include "replay/written_time.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <string>

#include "base/rfc3339.h"

namespace gyle {
namespace {

constexpr std::string_view kFields = "YymdbHIpMSzs%";

// What has been read of a text so far.
struct Parts {
  int year = 1970, month = 1, day = 1, hour = 0, minute = 0;
  double second = 0;
  bool afternoon = false, twelve = false;
  std::optional<int> offset_minutes;
  std::optional<double> epoch;
};

class Reader {
 public:
  explicit Reader(std::string_view text) : rest_(text) {}

  bool done() const { return rest_.empty(); }

  bool literal(char c) {
    if (c == ' ') {
      const std::size_t end = std::min(rest_.find_first_not_of(' '), rest_.size());
      rest_.remove_prefix(end);
      return end > 0;
    }
    if (rest_.empty() || rest_.front() != c) return false;
    rest_.remove_prefix(1);
    return true;
  }

  // A number of at most so many digits, within bounds.
  bool number(int& into, std::size_t digits, int least, int most) {
    const std::size_t length =
        std::min({digits, rest_.size(), std::min(rest_.find_first_not_of("0123456789"), rest_.size())});
    const auto [stop, error] = std::from_chars(rest_.data(), rest_.data() + length, into);
    if (length == 0 || error != std::errc() || into < least || into > most) return false;
    rest_.remove_prefix(length);
    return true;
  }

  bool decimal(double& into, double least, double most) {
    const auto [stop, error] =
        std::from_chars(rest_.data(), rest_.data() + rest_.size(), into, std::chars_format::fixed);
    if (error != std::errc() || !(into >= least && into <= most)) return false;
    rest_.remove_prefix(static_cast<std::size_t>(stop - rest_.data()));
    return true;
  }

  bool word(std::string_view small) {
    if (rest_.size() < small.size()) return false;
    for (std::size_t i = 0; i < small.size(); ++i) {
      if ((rest_[i] | 0x20) != small[i]) return false;
    }
    rest_.remove_prefix(small.size());
    return true;
  }

  bool month_name(int& month) {
    constexpr std::array<std::string_view, 12> kMonths{"january",   "february", "march",    "april",
                                                       "may",       "june",     "july",     "august",
                                                       "september", "october",  "november", "december"};
    for (std::size_t i = 0; i < kMonths.size(); ++i) {
      if (!word(kMonths[i]) && !word(kMonths[i].substr(0, 3))) continue;
      month = static_cast<int>(i) + 1;
      return true;
    }
    return false;
  }

  bool offset(std::optional<int>& minutes) {
    if (word("z")) {
      minutes = 0;
      return true;
    }
    if (rest_.empty() || (rest_.front() != '+' && rest_.front() != '-')) return false;
    const int sign = rest_.front() == '-' ? -1 : 1;
    rest_.remove_prefix(1);
    int hours = 0, rest = 0;
    if (!number(hours, 2, 0, 23)) return false;
    literal(':');
    if (!number(rest, 2, 0, 59)) return false;
    minutes = sign * (60 * hours + rest);
    return true;
  }

 private:
  std::string_view rest_;
};

bool read_field(char field, Reader& reader, Parts& parts) {
  switch (field) {
    case 'Y':
      return reader.number(parts.year, 4, 1900, 9999);
    case 'y':
      if (!reader.number(parts.year, 2, 0, 99)) return false;
      parts.year += 2000;
      return true;
    case 'm':
      return reader.number(parts.month, 2, 1, 12);
    case 'b':
      return reader.month_name(parts.month);
    case 'd':
      return reader.number(parts.day, 2, 1, 31);
    case 'H':
      return reader.number(parts.hour, 2, 0, 23);
    case 'I':
      parts.twelve = true;
      return reader.number(parts.hour, 2, 1, 12);
    case 'p':
      parts.afternoon = reader.word("pm");
      return parts.afternoon || reader.word("am");
    case 'M':
      return reader.number(parts.minute, 2, 0, 59);
    case 'S':
      return reader.decimal(parts.second, 0, 60.999);
    case 'z':
      return reader.offset(parts.offset_minutes);
    case 's':
      parts.epoch = 0;
      return reader.decimal(*parts.epoch, 0, 1e11);
    default:
      return reader.literal('%');
  }
}

bool read_all(std::string_view format, Reader& reader, Parts& parts) {
  for (std::size_t i = 0; i < format.size(); ++i) {
    const bool is_field = format[i] == '%' && i + 1 < format.size();
    if (is_field ? !read_field(format[++i], reader, parts) : !reader.literal(format[i])) return false;
  }
  return reader.done();
}

Duration of_seconds(double seconds) { return Duration(std::llround(seconds * 1000)); }

std::optional<WrittenTime> moment(const Parts& parts) {
  if (parts.epoch) return WrittenTime{of_seconds(*parts.epoch), false};
  const std::chrono::year_month_day date(std::chrono::year(parts.year),
                                         std::chrono::month(static_cast<unsigned>(parts.month)),
                                         std::chrono::day(static_cast<unsigned>(parts.day)));
  if (!date.ok()) return std::nullopt;
  int hour = parts.hour;
  if (parts.twelve) hour = hour % 12 + (parts.afternoon ? 12 : 0);
  const Duration shown = std::chrono::sys_days(date).time_since_epoch() + hours(hour) +
                         minutes(parts.minute) + of_seconds(parts.second);
  if (parts.offset_minutes) return WrittenTime{shown - minutes(*parts.offset_minutes), false};
  return WrittenTime{shown, true};
}

std::optional<WrittenTime> read_as(std::string_view text, std::string_view format) {
  Reader reader(text);
  Parts parts;
  return read_all(format, reader, parts) ? moment(parts) : std::nullopt;
}

std::optional<WrittenTime> read_day_number(std::string_view text) {
  Reader reader(text);
  double day = 0;
  // The first two months of 1900 are a day off there, for a 29 February that was none.
  if (!reader.decimal(day, 61, 300'000) || !reader.done()) return std::nullopt;
  constexpr auto kDayZero = std::chrono::sys_days(std::chrono::year(1899) / 12 / 30);
  // To the second: a fraction of a day in a few digits is no finer.
  return WrittenTime{kDayZero.time_since_epoch() + seconds(std::llround(day * 86400)), true};
}

std::optional<WrittenTime> read_usual(std::string_view text) {
  if (const auto time = parse_rfc3339(text)) return WrittenTime{time.value().time_since_epoch(), false};
  for (const char* const format : {"%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M",
                                   "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S%z", "%Y-%m-%d %H:%M:%S %z"}) {
    if (auto time = read_as(text, format)) return time;
  }
  return std::nullopt;
}

}  // namespace

Result<WrittenTime> read_written_time(std::string_view text, std::string_view format) {
  const auto time = format.empty()           ? read_usual(text)
                    : format == "day-number" ? read_day_number(text)
                                             : read_as(text, format);
  if (time) return *time;
  return fail(Errc::malformed,
              format.empty()
                  ? fmt::format("'{}' is no time such as 2026-03-01 18:30; say how it is written with "
                                "--time-format, as \"%d.%m.%Y %H:%M\"",
                                text.substr(0, 40))
                  : fmt::format("'{}' is no time as of the format \"{}\"", text.substr(0, 40), format));
}

Status check_time_format(std::string_view format) {
  if (format.empty() || format == "day-number") return success();
  std::string said;
  for (std::size_t i = 0; i < format.size(); ++i) {
    if (format[i] != '%') continue;
    if (++i == format.size() || kFields.find(format[i]) == std::string_view::npos) {
      return fail(
          Errc::malformed,
          fmt::format("the time format \"{}\" has a % that is followed by none of {}", format, kFields));
    }
    said += format[i];
  }
  const auto has = [&](const char* any) { return said.find_first_of(any) != std::string::npos; };
  if (has("s") || (has("Yy") && has("mb") && has("d") && (has("H") || (has("I") && has("p"))) && has("M"))) {
    return success();
  }
  return fail(Errc::malformed,
              fmt::format("the time format \"{}\" does not say a whole date and time, as \"%d.%m.%Y %H:%M\" "
                          "does, or \"%m/%d/%Y %I:%M %p\", or %s",
                          format));
}

}  // namespace gyle
