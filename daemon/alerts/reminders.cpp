#include "alerts/reminders.h"

#include <algorithm>
#include <array>

namespace gyle {
namespace {

// News that nothing has to be done about, or whose own sequel says when nothing was done.
constexpr std::array<std::string_view, 8> kNeverAgain{"fermentation-started",
                                                      "step-due",
                                                      "watcher-started",
                                                      "watcher-restarted",
                                                      "clock-jumped",
                                                      "digest",
                                                      "test",
                                                      "summary"};

constexpr std::array<int, 4> kAfterDays{1, 3, 7, 14};
constexpr int kThenEveryDays = 28;
constexpr int kAfterSnooze = 1000;  // numbers of their own, so that none is lost to the schedule's

}  // namespace

int reminder_due(std::string_view kind, const Reminded& alert, Time now) {
  if (alert.acknowledged || now <= alert.raised) return 0;
  if (std::find(kNeverAgain.begin(), kNeverAgain.end(), kind) != kNeverAgain.end()) return 0;
  if (alert.snoozed_until && now < *alert.snoozed_until) return 0;
  Time from = alert.raised;
  int base = 0;
  if (alert.snoozed_until && *alert.snoozed_until > alert.raised) {
    from = *alert.snoozed_until;
    // Each snooze counts anew, under numbers that no other has.
    base = kAfterSnooze + static_cast<int>((from - alert.raised) / minutes(10)) * 10 + 1;
  }
  const Duration age = now - from;
  int passed = 0;
  for (const int after : kAfterDays) passed += age >= days(after) ? 1 : 0;
  if (age >= days(kAfterDays.back()))
    passed += static_cast<int>((age - days(kAfterDays.back())) / days(kThenEveryDays));
  return base + passed;
}

}  // namespace gyle
