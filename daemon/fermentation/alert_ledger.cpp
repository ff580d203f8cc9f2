#include "fermentation/alert_ledger.h"

#include <utility>

namespace gyle {

const AlertLedger::Entry* AlertLedger::find(AlertKind kind, const std::string& sensor,
                                            std::optional<int> step) const {
  for (const Entry& entry : entries_) {
    if (entry.kind == kind && entry.step == step && entry.sensor == sensor) return &entry;
  }
  return nullptr;
}

void AlertLedger::raise(Time time, AlertKind kind, Evidence evidence, std::vector<Decision>& out,
                        const std::string& sensor, std::optional<int> step) {
  auto* entry = const_cast<Entry*>(find(kind, sensor, step));
  if (entry == nullptr) entry = &entries_.emplace_back(Entry{kind, sensor, step, 0, false});
  if (entry->open) return;
  entry->open = true;
  ++entry->raises;
  out.push_back({time, kind, Decision::State::raised, entry->raises, step, sensor, std::move(evidence)});
}

void AlertLedger::withdraw(Time time, AlertKind kind, Evidence evidence, std::vector<Decision>& out,
                           const std::string& sensor, std::optional<int> step) {
  auto* entry = const_cast<Entry*>(find(kind, sensor, step));
  if (entry == nullptr || !entry->open) return;
  entry->open = false;
  out.push_back({time, kind, Decision::State::withdrawn, entry->raises, step, sensor, std::move(evidence)});
}

bool AlertLedger::is_open(AlertKind kind, const std::string& sensor, std::optional<int> step) const {
  const Entry* entry = find(kind, sensor, step);
  return entry != nullptr && entry->open;
}

}  // namespace gyle
