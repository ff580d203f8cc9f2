#include "fermentation/continuity.h"

#include <algorithm>

namespace gyle {
namespace {

struct Last {
  Decision raised;
  bool stands = false;
};

// The last raise of each alert, and whether it stands. In order of topic.
std::map<AlertTopic, Last> last_of_each(std::span<const Decision> decisions) {
  std::map<AlertTopic, Last> last;
  for (const Decision& decision : decisions) {
    Last& one = last[topic_of(decision)];
    if (decision.state == Decision::State::raised) {
      one = {decision, true};
    } else if (decision.occurrence == one.raised.occurrence) {
      one.stands = false;
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

Sequel sequel(std::span<const Decision> told, std::span<const Decision> anew, Time now) {
  const std::map<AlertTopic, Last> before = last_of_each(told);
  const std::map<AlertTopic, Last> after = last_of_each(anew);
  Sequel sequel{{now, {}}, {}};
  for (const auto& [topic, old] : before) {
    const auto found = after.find(topic);
    const bool stands = found != after.end() && found->second.stands;
    const int count = found == after.end() ? 0 : found->second.raised.occurrence;
    int& shift = sequel.continuity.shifts[topic];
    shift = old.raised.occurrence - count;
    if (old.stands && !stands) {
      Decision withdrawn = old.raised;
      withdrawn.time = now;
      withdrawn.state = Decision::State::withdrawn;
      withdrawn.evidence = {{"put_right", 1}};
      sequel.to_tell.push_back(std::move(withdrawn));
    } else if (!old.stands && stands) {
      ++shift;
      sequel.to_tell.push_back(sequel.continuity.placed(found->second.raised));
    }
  }
  for (const auto& [topic, fresh] : after) {
    if (before.count(topic) == 0 && fresh.stands) {
      // Told for the first time, as the first: what came and went unseen is not told.
      sequel.continuity.shifts[topic] = 1 - fresh.raised.occurrence;
      sequel.to_tell.push_back(sequel.continuity.placed(fresh.raised));
    } else if (before.count(topic) == 0) {
      sequel.continuity.shifts[topic] = -fresh.raised.occurrence;
    }
  }
  std::stable_sort(sequel.to_tell.begin(), sequel.to_tell.end(),
                   [](const Decision& a, const Decision& b) { return a.time < b.time; });
  return sequel;
}

}  // namespace gyle
