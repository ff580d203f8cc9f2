#pragma once

#include <map>
#include <span>
#include <string>
#include <tuple>
#include <vector>

#include "base/time.h"
#include "fermentation/decision.h"

namespace gyle {

// Which alert: its kind, its sensor ("" for none), its step (0 for none).
using AlertTopic = std::tuple<AlertKind, std::string, int>;
AlertTopic topic_of(const Decision& decision);

// Joins the alerts of a re-evaluated batch to those that were reported before an entry was corrected. The new
// judgement numbers its alerts from 1 again and decides what is long past once more; a report cannot be
// taken back.
struct Continuity {
  Time resumes_after =
      Time::min();  // what the new judgement decides up to then is in Sequel, or not reported
  std::map<AlertTopic, int> shifts;  // added to its occurrences

  // The decision, numbered after those that were reported.
  Decision placed(Decision decision) const;
};

// What to report of a batch that was re-evaluated at `now`, so that afterwards exactly those alerts are open
// that the new judgement leaves open. A withdrawal for this reason has `corrected` (1) as its evidence.
//   reported  in order; reevaluated: all that the new judgement has decided up to `now`
//   again     once `to_report` is reported: the same continuity, and nothing more to report
struct Sequel {
  Continuity continuity;
  std::vector<Decision> to_report;
};
Sequel sequel(std::span<const Decision> reported, std::span<const Decision> reevaluated, Time now);

}  // namespace gyle
