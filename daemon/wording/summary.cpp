#include "wording/summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>
#include <vector>

#include "wording/alert_title.h"
#include "wording/first_sentence.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

// Everything alerted about one thing.
struct Line {
  const FoldedAlert* first_raise = nullptr;
  const FoldedAlert* newest = nullptr;
  int withdrawals = 0;  // of what was raised in the same message
  bool open = false;

  bool over() const { return newest->state == Decision::State::withdrawn; }
  bool came_and_went() const { return over() && first_raise != nullptr; }
};

std::vector<Line> lines_of(std::span<const FoldedAlert> alerts) {
  std::vector<const FoldedAlert*> by_time;
  for (const FoldedAlert& alert : alerts) by_time.push_back(&alert);
  std::stable_sort(by_time.begin(), by_time.end(), [](auto* a, auto* b) { return a->time < b->time; });
  std::map<std::tuple<std::string, std::string, std::string, std::string, int>, Line> by_identity;
  for (const FoldedAlert* alert : by_time) {
    Line& line = by_identity[{alert->kind, alert->vessel, alert->batch, alert->sensor, alert->step}];
    if (alert->state == Decision::State::raised) {
      if (line.first_raise == nullptr) line.first_raise = alert;
      line.open = true;
    } else if (line.open) {
      ++line.withdrawals;
      line.open = false;
    }
    line.newest = alert;
  }
  std::vector<Line> lines;
  for (const auto& [identity, line] : by_identity) lines.push_back(line);
  return lines;
}

bool earlier(const Line& a, const Line& b) { return a.newest->time < b.newest->time; }

std::string heading(FoldReason reason, Time from, Time until, const DisplaySettings& display) {
  const bool within_a_day = until - from <= hours(24);
  const auto show = within_a_day ? show_clock : show_time;
  switch (reason) {
    case FoldReason::quiet_hours:
      return "During your quiet hours:";
    case FoldReason::sent_late:
      return fmt::format("These could not be sent before, since {}:", show_time(from, display));
    case FoldReason::at_once:
      return fmt::format("Several things, {} to {}:", show(from, display), show(until, display));
  }
  return "";
}

std::string shown(const Line& line, bool within_a_day, const DisplaySettings& display) {
  const auto show = within_a_day ? show_clock : show_time;
  const std::string newest = show(line.newest->time, display);
  if (!line.came_and_went()) return fmt::format("{}: {}", newest, first_sentence(line.newest->text));
  return fmt::format("{} to {}, came and went{}: {}", show(line.first_raise->time, display), newest,
                     line.withdrawals > 1 ? fmt::format(" {} times", line.withdrawals) : "",
                     first_sentence(line.first_raise->text));
}

std::string title(FoldReason reason, std::size_t count, std::size_t open) {
  const std::string alerts = fmt::format("{} {}", count, count == 1 ? "alert" : "alerts");
  switch (reason) {
    case FoldReason::quiet_hours:
      return alerts + (open == 0 ? " from your quiet hours, all over" : " from your quiet hours");
    case FoldReason::sent_late:
      return alerts + (open == 0 ? " sent late, all over" : " sent late");
    case FoldReason::at_once:
      return alerts + (open == 0 ? ", all over" : "");
  }
  return alerts;
}

}  // namespace

Summary summary_of(std::span<const FoldedAlert> alerts, FoldReason reason, Time from, Time until,
                   const DisplaySettings& display) {
  std::vector<Line> lines = lines_of(alerts);
  const auto open = static_cast<std::size_t>(
      std::count_if(lines.begin(), lines.end(), [](const Line& l) { return !l.over(); }));
  Summary summary{title(reason, lines.size(), open), heading(reason, from, until, display)};

  std::sort(lines.begin(), lines.end(),
            [](const Line& a, const Line& b) { return a.over() != b.over() ? b.over() : earlier(b, a); });
  const std::size_t shown_lines = std::min(lines.size(), kSummaryLines);
  const auto left_out = lines.begin() + static_cast<std::ptrdiff_t>(shown_lines);
  std::sort(lines.begin(), left_out, earlier);
  const bool within_a_day = until - from <= hours(24);
  for (auto line = lines.begin(); line != left_out; ++line) {
    summary.text += "\n" + shown(*line, within_a_day, display);
  }
  if (left_out != lines.end()) {
    summary.text +=
        fmt::format("\nand {} more, the oldest of {}.", lines.end() - left_out,
                    show_time(std::min_element(left_out, lines.end(), earlier)->newest->time, display));
  }
  return summary;
}

std::string reminder_sentence(std::string_view text, Time raised, Time now, const DisplaySettings& display) {
  const auto show = now - raised < days(6) ? show_weekday : show_time;
  return fmt::format("Still so, since {}: {}", show(raised, display), text);
}

}  // namespace gyle
