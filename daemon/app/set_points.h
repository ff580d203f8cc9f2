#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>

#include "app/watch.h"
#include "base/clock.h"
#include "control/cellar.h"
#include "storage/set_point_store.h"

namespace gyle {

// Asks the thermostats of the vessels for what their batches' plans want, as the brewer allowed it in the
// configuration (fermentation/set_point.h decides). Publishes a temperature and nothing else.
//   restart  what was asked for and agreed to is in the database; what still holds is sent again at once
//   errors   what the broker does not accept is tried again after a minute, and shown by report()
//   threads  the loop's
class SetPoints {
 public:
  struct Ways {
    // Calls its last argument exactly once, on the loop's thread.
    std::function<void(std::string topic, std::string payload, bool retained, std::function<void(Status)>)>
        publish;
    // Whether the present state may be acted on: connected, and no older messages still to come.
    std::function<bool()> may_send;
  };
  // `database`, `watch` and `clock` must outlive this.
  SetPoints(Database& database, const Watch& watch, const Clock& clock, Ways ways);

  // Sends what is due.
  void look(const std::vector<BatchRecord>& batches);

  Result<SetPointReport> report(const BatchRecord& batch) const;

  // The brewer's confirmation of the temperature that waits for it; it is sent at once if possible. With a
  // step, only when that step waits. Errc::conflict: nothing waits for confirmation.
  Result<SetPointReport> confirm(const BatchRecord& batch, std::optional<int> step);

 private:
  struct Doing {
    bool on_its_way = false;
    std::optional<Time> sent;       // last taken by the broker
    std::optional<Time> tried;      // last not taken by it
    std::string trouble;            // the last answer, when it was a failure
    std::optional<SetPoint> noted;  // logged last
  };

  const SetPointSettings* settings_of(const BatchRecord& batch) const;
  Result<SetPointPast> past(const BatchRecord& batch) const;
  void look(const BatchRecord& batch);
  void send(const BatchRecord& batch, const SetPointSettings& settings, const Ask& ask, bool change);

  const Watch& watch_;
  const Clock& clock_;
  const Ways ways_;
  mutable SetPointStore store_;  // reading prepares statements, which the class counts as a change
  std::map<std::int64_t, Doing> doing_;
};

}  // namespace gyle
