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

// How a batch's judgement goes on from what was told when it has been judged anew, because something that was
// entered about it was wrong. The new judgement numbers its alerts from 1 again, and decides anew what is
// long past; what was told cannot be untold.
struct Continuity {
  Time settled = Time::min();  // what the new judgement decides up to then is told by Sequel, or not at all
  std::map<AlertTopic, int> shifts;  // added to its occurrences

  // The decision with its place among those that were told.
  Decision placed(Decision decision) const;
};

// What has to be told of a batch that was judged anew at `now`, so that afterwards just that stands which
// stands by the new judgement. A withdrawal of this sort carries `put_right` (1) as its evidence.
//   told  in order, as told; anew  all the new judgement has decided up to `now`
//   again with to_tell told, gives the same continuity and nothing more to tell
struct Sequel {
  Continuity continuity;
  std::vector<Decision> to_tell;
};
Sequel sequel(std::span<const Decision> told, std::span<const Decision> anew, Time now);

}  // namespace gyle
