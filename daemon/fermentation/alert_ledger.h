#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fermentation/decision.h"

namespace gyle {

// Which alerts of a batch are open, and how often each has been raised: gives every decision its identity and
// reports nothing twice.
class AlertLedger {
 public:
  // Raises unless it is open, withdraws if it is; appends the decision to `out`.
  void raise(Time time, AlertKind kind, Evidence evidence, std::vector<Decision>& out,
             const std::string& sensor = {}, std::optional<int> step = {});
  void withdraw(Time time, AlertKind kind, Evidence evidence, std::vector<Decision>& out,
                const std::string& sensor = {}, std::optional<int> step = {});

  bool is_open(AlertKind kind, const std::string& sensor = {}, std::optional<int> step = {}) const;

 private:
  struct Entry {
    AlertKind kind;
    std::string sensor;
    std::optional<int> step;
    int raises;
    bool open;
  };
  const Entry* find(AlertKind kind, const std::string& sensor, std::optional<int> step) const;
  std::vector<Entry> entries_;
};

}  // namespace gyle
