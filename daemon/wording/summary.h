#pragma once

#include <span>
#include <string>

#include "base/time.h"
#include "fermentation/decision.h"
#include "wording/display.h"

namespace gyle {

// One alert of several that go into one message.
struct FoldedAlert {
  Time time;
  std::string kind;  // "stuck", "disk-low", ...
  Decision::State state;
  std::string vessel;  // empty: a system alert
  std::string batch;   // empty: a system alert
  std::string sensor;  // empty unless it is about one
  int step = 0;        // 0: about no hold
  std::string text;    // its sentences; the first is shown
};

// Why several are sent as one.
enum class FoldReason {
  quiet_hours,  // they could wait for the morning
  sent_late,    // the channel, or the daemon, was away
  at_once       // several at a time
};

struct Summary {
  std::string title;  // at most kTitleColumns
  std::string text;
};

constexpr std::size_t kSummaryLines = 20;

// A heading, then a line for each thing that was alerted about, (kind, vessel, batch, sensor, step): its
// newest state, or when it came and went. In order of time; of more than kSummaryLines those that are over
// are left out first, then the oldest. `from` to `until`: the time it covers. `alerts`: in any order.
Summary summary_of(std::span<const FoldedAlert> alerts, FoldReason reason, Time from, Time until,
                   const DisplaySettings& display);

// The text of a reminder: "Still so, since Tuesday 18:10: ..." before the text of the alert, with the date when
// that is six days ago or more. The prefix is at most 31 columns.
std::string reminder_sentence(std::string_view text, Time raised, Time now, const DisplaySettings& display);

}  // namespace gyle
