#include "fermentation/continuity.h"

#include <algorithm>

namespace gyle {
namespace {

struct Last {
  Decision raised;
  bool open = false;
};

// The last raise of each alert, and whether it is open. In order of topic.
std::map<AlertTopic, Last> last_of_each(std::span<const Decision> decisions) {
  std::map<AlertTopic, Last> last;
  for (const Decision& decision : decisions) {
    Last& one = last[topic_of(decision)];
    if (decision.state == Decision::State::raised) {
      one = {decision, true};
    } else if (decision.occurrence == one.raised.occurrence) {
      one.open = false;
    }
  }
  return last;
}

}  // namespace

AlertTopic topic_of(const Decision& decision) {
  return {decision.kind, decision.sensor, decision.step.value_or(0)};
}

Decision Continuity::placed(Decision decision) const {
  if (const auto shift = shifts.find(topic_of(decision)); shift != shifts.end()) {
    decision.occurrence += shift->second;
  }
  return decision;
}

Sequel sequel(std::span<const Decision> reported, std::span<const Decision> reevaluated, Time now) {
  const std::map<AlertTopic, Last> before = last_of_each(reported);
  const std::map<AlertTopic, Last> after = last_of_each(reevaluated);
  Sequel sequel{{now, {}}, {}};
  for (const auto& [topic, old] : before) {
    const auto found = after.find(topic);
    const bool open = found != after.end() && found->second.open;
    const int count = found == after.end() ? 0 : found->second.raised.occurrence;
    int& shift = sequel.continuity.shifts[topic];
    shift = old.raised.occurrence - count;
    if (old.open && !open) {
      Decision withdrawn = old.raised;
      withdrawn.time = now;
      withdrawn.state = Decision::State::withdrawn;
      withdrawn.evidence = {{"corrected", 1}};
      sequel.to_report.push_back(std::move(withdrawn));
    } else if (!old.open && open) {
      ++shift;
      sequel.to_report.push_back(sequel.continuity.placed(found->second.raised));
    }
  }
  for (const auto& [topic, fresh] : after) {
    if (before.count(topic) == 0 && fresh.open) {
      // Reported for the first time, as the first: what came and went in between is not reported.
      sequel.continuity.shifts[topic] = 1 - fresh.raised.occurrence;
      sequel.to_report.push_back(sequel.continuity.placed(fresh.raised));
    } else if (before.count(topic) == 0) {
      sequel.continuity.shifts[topic] = -fresh.raised.occurrence;
    }
  }
  std::stable_sort(sequel.to_report.begin(), sequel.to_report.end(),
                   [](const Decision& a, const Decision& b) { return a.time < b.time; });
  return sequel;
}

}  // namespace gyle
