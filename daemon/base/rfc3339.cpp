#include "base/rfc3339.h"

#include <fmt/format.h>

namespace gyle {
namespace {

using std::chrono::day;
using std::chrono::month;
using std::chrono::sys_days;
using std::chrono::year;
using std::chrono::year_month_day;

// Consumes exactly `digits` digits; -1 when they are not there.
int take_number(std::string_view& rest, std::size_t digits) {
  if (rest.size() < digits) return -1;
  int value = 0;
  for (std::size_t i = 0; i < digits; ++i) {
    if (rest[i] < '0' || rest[i] > '9') return -1;
    value = value * 10 + (rest[i] - '0');
  }
  rest.remove_prefix(digits);
  return value;
}

bool take(std::string_view& rest, char wanted, char or_wanted) {
  if (rest.empty() || (rest.front() != wanted && rest.front() != or_wanted)) return false;
  rest.remove_prefix(1);
  return true;
}
bool take(std::string_view& rest, char wanted) { return take(rest, wanted, wanted); }

// Digits after the point, cut to milliseconds; -1 when there is not one digit.
int take_milliseconds(std::string_view& rest) {
  int ms = 0;
  int place = 100;
  std::size_t digits = 0;
  for (; digits < rest.size() && rest[digits] >= '0' && rest[digits] <= '9'; ++digits) {
    ms += (rest[digits] - '0') * place;
    place /= 10;
  }
  rest.remove_prefix(digits);
  return digits == 0 ? -1 : ms;
}

auto malformed(std::string_view text) {
  return fail(Errc::malformed,
              fmt::format("'{}' is not an RFC 3339 time such as 2026-03-01T18:30:00Z", text.substr(0, 40)));
}

}  // namespace

Result<Time> parse_rfc3339(std::string_view text) {
  std::string_view rest = text;
  const int y = take_number(rest, 4);
  if (y < 0 || !take(rest, '-')) return malformed(text);
  const int mon = take_number(rest, 2);
  if (mon < 0 || !take(rest, '-')) return malformed(text);
  const int d = take_number(rest, 2);
  if (d < 0 || !take(rest, 'T', 't')) return malformed(text);
  const int h = take_number(rest, 2);
  if (h < 0 || h > 23 || !take(rest, ':')) return malformed(text);
  const int min = take_number(rest, 2);
  if (min < 0 || min > 59 || !take(rest, ':')) return malformed(text);
  const int s = take_number(rest, 2);
  if (s < 0 || s > 60) return malformed(text);
  int ms = 0;
  if (take(rest, '.') && (ms = take_milliseconds(rest)) < 0) return malformed(text);

  minutes offset{0};
  if (!take(rest, 'Z', 'z')) {
    const bool west = !rest.empty() && rest.front() == '-';
    if (!take(rest, '+', '-')) return malformed(text);
    const int offset_h = take_number(rest, 2);
    if (offset_h < 0 || offset_h > 23 || !take(rest, ':')) return malformed(text);
    const int offset_min = take_number(rest, 2);
    if (offset_min < 0 || offset_min > 59) return malformed(text);
    offset = minutes(offset_h * 60 + offset_min) * (west ? -1 : 1);
  }
  const year_month_day date(year(y), month(static_cast<unsigned>(mon)), day(static_cast<unsigned>(d)));
  if (!rest.empty() || !date.ok()) return malformed(text);
  return Time(sys_days(date)) + hours(h) + minutes(min) + seconds(s) + Duration(ms) - offset;
}

std::string format_rfc3339(Time time) {
  const auto midnight = std::chrono::floor<std::chrono::days>(time);
  const year_month_day date(midnight);
  const std::chrono::hh_mm_ss clock(time - midnight);
  const auto ms = clock.subseconds().count();
  const std::string head =
      fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                  static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                  clock.hours().count(), clock.minutes().count(), clock.seconds().count());
  return ms == 0 ? head + "Z" : fmt::format("{}.{:03}Z", head, ms);
}

}  // namespace gyle
