#pragma once

#include <deque>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "alerts/alert_routing.h"
#include "app/vessels.h"
#include "storage/batch_store.h"
#include "storage/outbox.h"
#include "wording/display.h"

namespace gyle {

// Makes an alert of each decision about a batch, and puts it into the outbox, in order.
//   errors   an alert that cannot be stored is kept and tried again by store(); one that can never be stored is logged, and
//            does not stop those behind it
//   owner    must not outlive `vessels` and `display`, which are as configured at the moment of use
//   threads  one; `database` is its connection
class DecisionAlerts {
 public:
  // `on_queued` is called after something new has been put into the outbox.
  DecisionAlerts(Database& database, AlertRouting routing, const Vessels& vessels,
                 const DisplaySettings& display, std::function<void()> on_queued);

  // Keeps the alerts of these decisions; store() then puts them into the outbox.
  void add(const StoredBatch& batch, const BatchSpec& spec, std::span<const Decision> decisions);

  // Errc::unavailable: not all could be stored; it is tried again with the next call.
  Status store();

  // Stores the alerts of a batch of the past, which are sent to nobody.
  void store_silently(const StoredBatch& batch, const BatchSpec& spec, std::span<const Decision> decisions);

  // The decisions about a batch that were reported. Errc::malformed: one of them cannot be read.
  Result<std::vector<Decision>> reported(std::int64_t batch);

 private:
  struct Pending {
    NewAlert alert;
    std::string vessel;
    std::string batch_name;
  };

  Outbox outbox_;
  const AlertRouting routing_;
  const Vessels& vessels_;
  const DisplaySettings& display_;
  const std::function<void()> on_queued_;
  std::deque<Pending> pending_;
};

}  // namespace gyle
