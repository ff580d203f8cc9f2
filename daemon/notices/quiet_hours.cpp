#include "notices/quiet_hours.h"

#include <fmt/format.h>

#include <stdexcept>

#include "base/wall_clock.h"

namespace gyle {
namespace {

const date::time_zone* zone_or_utc(const std::string& name) {
  try {
    return date::locate_zone(name);
  } catch (const std::runtime_error&) {
    return date::locate_zone("Etc/UTC");
  }
}

}  // namespace

Result<std::chrono::minutes> parse_time_of_day(std::string_view text) {
  if (const auto clock = read_clock(text)) return *clock;
  return fail(Errc::malformed, fmt::format("\"{}\" is not a time of day; write for example \"07:30\"", text));
}

Result<QuietHours> parse_quiet_hours(std::string_view text) {
  if (text.empty()) return QuietHours{};
  const std::size_t dash = text.find('-');
  if (dash != std::string_view::npos) {
    const auto from = parse_time_of_day(text.substr(0, dash));
    const auto until = parse_time_of_day(text.substr(dash + 1));
    if (from && until) return QuietHours{from.value(), until.value()};
  }
  return fail(
      Errc::malformed,
      fmt::format("\"{}\" is not a range of hours; write for example \"22:00-07:00\", or \"\" for none",
                  text));
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
  const Time end = moment_of(zone, end_day + quiet_hours.until);
  return end > time ? end : time + minutes(1);
}

Time last_time_of_day(std::chrono::minutes of_day, Time time, const std::string& zone_name) {
  const date::time_zone& zone = *zone_or_utc(zone_name);
  auto day = date::floor<date::days>(wall_clock(zone, time));
  Time moment = moment_of(zone, day + of_day);
  if (moment > time) moment = moment_of(zone, day - date::days(1) + of_day);
  return moment;
}

}  // namespace gyle
