#include "config/quiet_hours.h"

#include <date/tz.h>
#include <fmt/format.h>

#include <stdexcept>

namespace gyle {
namespace {

const date::time_zone* zone_or_utc(const std::string& name) {
  try {
    return date::locate_zone(name);
  } catch (const std::runtime_error&) {
    return date::locate_zone("Etc/UTC");
  }
}

std::optional<int> two_digits(std::string_view text) {
  if (text.size() != 2 || text[0] < '0' || text[0] > '9' || text[1] < '0' || text[1] > '9') return {};
  return (text[0] - '0') * 10 + (text[1] - '0');
}

// A local time as an instant: of two the earlier, of none the moment at which the clocks skip it.
Time instant(const date::time_zone& zone, date::local_time<std::chrono::minutes> local) {
  const auto info = zone.get_info(local);
  if (info.result == date::local_info::nonexistent) {
    return Time(std::chrono::duration_cast<Duration>(info.first.end.time_since_epoch()));
  }
  return Time(std::chrono::duration_cast<Duration>(local.time_since_epoch() - info.first.offset));
}

date::local_time<std::chrono::minutes> wall_clock(const date::time_zone& zone, Time time) {
  const auto system = date::floor<std::chrono::minutes>(
      date::sys_time<Duration>(std::chrono::duration_cast<Duration>(time.time_since_epoch())));
  return date::floor<std::chrono::minutes>(zone.to_local(system));
}

}  // namespace

Result<std::chrono::minutes> parse_time_of_day(std::string_view text) {
  const auto hour = text.size() == 5 && text[2] == ':' ? two_digits(text.substr(0, 2)) : std::nullopt;
  const auto minute = hour ? two_digits(text.substr(3)) : std::nullopt;
  if (!minute || *hour > 23 || *minute > 59) {
    return fail(Errc::malformed, fmt::format("\"{}\" is no time of day; write for example \"07:30\"", text));
  }
  return std::chrono::minutes(*hour * 60 + *minute);
}

Result<QuietHours> parse_quiet_hours(std::string_view text) {
  if (text.empty()) return QuietHours{};
  const std::size_t dash = text.find('-');
  if (dash != std::string_view::npos) {
    const auto from = parse_time_of_day(text.substr(0, dash));
    const auto until = parse_time_of_day(text.substr(dash + 1));
    if (from && until) return QuietHours{from.value(), until.value()};
  }
  return fail(Errc::malformed,
              fmt::format("\"{}\" are no hours; write for example \"22:00-07:00\", or \"\" for none", text));
}

std::optional<Time> quiet_until(const QuietHours& quiet_hours, Time time, const std::string& zone_name) {
  if (quiet_hours.none()) return std::nullopt;
  const date::time_zone& zone = *zone_or_utc(zone_name);
  const auto now = wall_clock(zone, time);
  const auto today = date::floor<date::days>(now);
  const auto of_day = std::chrono::duration_cast<std::chrono::minutes>(now - today);
  const bool over_midnight = quiet_hours.until < quiet_hours.from;
  const bool quiet = over_midnight ? of_day >= quiet_hours.from || of_day < quiet_hours.until
                                   : of_day >= quiet_hours.from && of_day < quiet_hours.until;
  if (!quiet) return std::nullopt;
  const auto end_day = over_midnight && of_day >= quiet_hours.from ? today + date::days(1) : today;
  const Time end = instant(zone, end_day + quiet_hours.until);
  return end > time ? end : time + minutes(1);
}

Time last_time_of_day(std::chrono::minutes of_day, Time time, const std::string& zone_name) {
  const date::time_zone& zone = *zone_or_utc(zone_name);
  auto day = date::floor<date::days>(wall_clock(zone, time));
  Time moment = instant(zone, day + of_day);
  if (moment > time) moment = instant(zone, day - date::days(1) + of_day);
  return moment;
}

}  // namespace gyle
