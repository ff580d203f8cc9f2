#include "clock/local_time.h"

#include <date/tz.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdlib>
#include <optional>
#include <stdexcept>

#include "base/rfc3339.h"
#include "base/wall_clock.h"
#include "base/zone_words.h"

namespace gyle {
namespace {

using LocalMinute = date::local_time<minutes>;

struct Written {
  std::optional<date::local_days> date;
  std::optional<date::weekday> weekday;
  std::optional<minutes> clock;  // since midnight
};

minutes clock_of(const Written& written) { return written.clock.value_or(minutes(0)); }

bool digits_where(std::string_view text, std::string_view pattern) {
  return text.size() == pattern.size() &&
         std::equal(text.begin(), text.end(), pattern.begin(),
                    [](char c, char p) { return p == '0' ? c >= '0' && c <= '9' : c == p; });
}

int number(std::string_view digits) {
  int value = 0;
  for (const char c : digits) value = value * 10 + (c - '0');
  return value;
}

std::optional<date::local_days> read_date(std::string_view text) {
  if (!digits_where(text, "0000-00-00")) return std::nullopt;
  const date::year_month_day day(date::year(number(text.substr(0, 4))),
                                 date::month(static_cast<unsigned>(number(text.substr(5, 2)))),
                                 date::day(static_cast<unsigned>(number(text.substr(8, 2)))));
  return day.ok() ? std::optional(date::local_days(day)) : std::nullopt;
}

std::optional<date::weekday> read_weekday(std::string_view text) {
  constexpr std::array<std::string_view, 7> kNames{"sunday",   "monday", "tuesday", "wednesday",
                                                   "thursday", "friday", "saturday"};
  const auto same = [](char written, char wanted) {
    return std::tolower(static_cast<unsigned char>(written)) == wanted;
  };
  for (unsigned day = 0; day < kNames.size(); ++day) {
    for (const std::string_view name : {kNames[day], kNames[day].substr(0, 3)}) {
      if (std::equal(text.begin(), text.end(), name.begin(), name.end(), same)) return date::weekday(day);
    }
  }
  return std::nullopt;
}

// "DAY", "CLOCK" or "DAY CLOCK".
std::optional<Written> read(std::string_view text) {
  const std::size_t gap = text.find(' ');
  const std::string_view first = text.substr(0, gap);
  Written written;
  if (gap == std::string_view::npos && (written.clock = read_clock(first))) return written;
  written.date = read_date(first);
  written.weekday = read_weekday(first);
  if (!written.date && !written.weekday) return std::nullopt;
  if (gap == std::string_view::npos) return written;
  written.clock = read_clock(text.substr(gap + 1));
  return written.clock ? std::optional(written) : std::nullopt;
}

// A local time on one day. Where clocks skip it, `at` is the moment of the change.
struct Candidate {
  LocalMinute local;
  date::local_info info;
  Time at;
};

Candidate candidate(const date::time_zone& zone, LocalMinute local) {
  return {local, zone.get_info(local), moment_of(zone, local)};
}

Result<Time> existing(const Candidate& one, const date::time_zone& zone) {
  if (one.info.result != date::local_info::nonexistent) return one.at;
  const auto after = date::local_seconds((one.info.first.end + one.info.second.offset).time_since_epoch());
  return fail(
      Errc::out_of_range,
      fmt::format("{} does not exist in {}: the clocks skip it; the next valid time is \"{}\"",
                  date::format("%F %R", one.local), zone_words(zone.name()), date::format("%F %R", after)));
}

Result<Time> completed(const Written& written, Time now, const date::time_zone& zone, TimeSense sense) {
  const minutes clock = clock_of(written);
  const auto today = date::floor<date::days>(zone.to_local(now));
  if (!written.weekday && sense == TimeSense::past) return existing(candidate(zone, today + clock), zone);
  // At most a week away, or a day more where the clocks skip that time.
  const int step = sense == TimeSense::past ? -1 : 1;
  for (int away = 0;; ++away) {
    const date::local_days day = today + date::days(step * away);
    if (written.weekday && date::weekday(day) != *written.weekday) continue;
    const Candidate one = candidate(zone, day + clock);
    if (sense == TimeSense::past ? one.at <= now : one.at > now) return existing(one, zone);
  }
}

const date::time_zone* find_zone(const std::string& name) {
  try {
    return date::locate_zone(name);
  } catch (const std::runtime_error&) {
    return nullptr;
  }
}

}  // namespace

Result<Time> parse_local_time(std::string_view text, std::optional<Time> now, const std::string& zone,
                              TimeSense sense) {
  if (auto absolute = parse_rfc3339(text)) return absolute;
  const auto written = read(text);
  if (!written) {
    return fail(Errc::malformed, fmt::format("'{}' is not a time; write for example \"2026-03-05 18:30\", "
                                             "\"2026-03-05\", \"18:30\", \"sat 18:00\" or, with the offset "
                                             "from UTC, 2026-03-05T18:30:00Z",
                                             text.substr(0, 40)));
  }
  const date::time_zone* const known = find_zone(zone);
  if (known == nullptr) {
    return fail(Errc::not_found, fmt::format("this machine does not know the time zone \"{}\"; write the "
                                             "time with its offset from UTC, as 2026-03-05T18:30:00Z",
                                             zone));
  }
  if (written->date) return existing(candidate(*known, *written->date + clock_of(*written)), *known);
  if (now) return completed(*written, *now, *known, sense);
  return fail(Errc::missing,
              fmt::format("'{}' has no date, and the current date is unknown; write the date too, as "
                          "\"2026-03-05 18:30\"",
                          text));
}

Result<Time> moment_shown(Duration shown, const std::string& zone) {
  const date::time_zone* const known = find_zone(zone);
  if (known == nullptr) {
    return fail(Errc::not_found, fmt::format("this machine does not know the time zone \"{}\"", zone));
  }
  const auto local = date::floor<minutes>(date::local_time<Duration>(shown));
  BOOST_OUTCOME_TRY(minute, existing(candidate(*known, local), *known));
  return minute + (shown - local.time_since_epoch());
}

std::string machine_time_zone() {
  if (const char* const chosen = std::getenv("TZ"); chosen != nullptr && find_zone(chosen) != nullptr) {
    return chosen;
  }
  try {
    return date::current_zone()->name();
  } catch (const std::runtime_error&) {
    return "UTC";
  }
}

}  // namespace gyle
