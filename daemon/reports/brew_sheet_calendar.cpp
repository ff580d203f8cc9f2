#include "reports/brew_sheet_calendar.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

#include "base/icalendar.h"

namespace gyle {
namespace {

// FNV-1a: names the recipe in a UID, where its own name may hold anything.
std::uint64_t fingerprint(std::string_view text) {
  std::uint64_t hash = 14695981039346656037U;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211U;
  return hash;
}

}  // namespace

std::string brew_sheet_calendar(const Recipe& recipe, const DaySheet& sheet, Time start, Time made) {
  std::string out;
  const auto line = [&out](const std::string& text) { add_calendar_line(out, text); };
  line("BEGIN:VCALENDAR");
  line("VERSION:2.0");
  line("PRODID:-//Gylekeeper//Brew day//EN");
  line("CALSCALE:GREGORIAN");
  const std::string title = "Brew day: " + recipe.name;
  line("NAME:" + calendar_escaped(title));
  line("X-WR-CALNAME:" + calendar_escaped(title));
  for (std::size_t i = 0; i < sheet.steps.size(); ++i) {
    const DayStep& step = sheet.steps[i];
    const std::string summary = calendar_escaped(step.what + " (" + recipe.name + ")");
    line("BEGIN:VEVENT");
    line(fmt::format("UID:gylekeeper-brewday-{:016x}-{}-{}", fingerprint(recipe.name),
                     start.time_since_epoch() / days(1), i + 1));
    line("DTSTAMP:" + calendar_time(made));
    line(fmt::format("SEQUENCE:{}", std::max<std::int64_t>(0, made.time_since_epoch() / minutes(1))));
    line("DTSTART:" + calendar_time(start + step.at));
    line(fmt::format("DURATION:PT{}M", std::max<std::int64_t>(1, step.lasts / minutes(1))));
    line("SUMMARY:" + summary);
    line("DESCRIPTION:" + calendar_escaped(step.caution.empty() ? step.how
                                                                : step.how + "\nCare: " + step.caution +
                                                                      " Local rules come first."));
    line("STATUS:CONFIRMED");
    line("BEGIN:VALARM");
    line("ACTION:DISPLAY");
    line("TRIGGER:PT0S");
    line("DESCRIPTION:" + summary);
    line("END:VALARM");
    line("END:VEVENT");
  }
  line("END:VCALENDAR");
  return out;
}

}  // namespace gyle
