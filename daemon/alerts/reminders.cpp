#include "alerts/reminders.h"

#include <algorithm>
#include <array>

namespace gyle {
namespace {

// News that nothing has to be done about, or whose own sequel says when nothing was done.
constexpr std::array<std::string_view, 10> kNeverAgain{"fermentation-started",
                                                       "step-due",
                                                       "watcher-started",
                                                       "watcher-restarted",
                                                       "clock-jumped",
                                                       "database-new",
                                                       "message-unstorable",
                                                       "digest",
                                                       "test",
                                                       "summary"};

constexpr std::array<int, 4> kAfterDays{1, 3, 7, 14};
constexpr int kThenEveryDays = 28;

}  // namespace

int reminder_due(std::string_view kind, const Reminded& alert, Time now) {
  if (alert.acknowledged || now <= alert.raised) return 0;
  if (std::find(kNeverAgain.begin(), kNeverAgain.end(), kind) != kNeverAgain.end()) return 0;
  if (alert.snoozed_until && now < *alert.snoozed_until) return 0;
  const bool snoozed = alert.snoozed_until && *alert.snoozed_until > alert.raised;
  const Time from = snoozed ? *alert.snoozed_until : alert.raised;
  std::optional<Time> due = snoozed ? std::optional(from) : std::nullopt;
  for (const int after : kAfterDays) {
    if (now >= from + days(after)) due = from + days(after);
  }
  const Time last = from + days(kAfterDays.back());
  if (now >= last) due = last + days(kThenEveryDays) * ((now - last) / days(kThenEveryDays));
  return due ? static_cast<int>(std::chrono::ceil<minutes>(*due - alert.raised).count()) : 0;
}

}  // namespace gyle
