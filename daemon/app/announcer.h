#pragma once

#include <deque>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "alerts/alert_routing.h"
#include "notices/notice.h"
#include "storage/outbox.h"
#include "wording/digest.h"
#include "wording/system_alert_sentences.h"

namespace gyle {

// Puts into the outbox what is not a decision about a batch: system alerts, reminders, the daily digest,
// tests of a channel. What cannot be stored is logged; system alerts are also kept in memory and
// stored, in order, as soon as that works.
//   threads  the loop's
class Announcer {
 public:
  Announcer(Database& database, const AlertRouting& routing, std::function<void()> on_queued);

  // Whether it is stored already.
  bool report(SystemAlertKind kind, Decision::State state, const Evidence& evidence, Time time,
              const DisplaySettings& display);

  // The last system alert, as a message, while it cannot be stored; and the channels that take it.
  struct Unstored {
    Notice notice;
    std::vector<std::string> channels;
  };
  std::optional<Unstored> last_unstored(const DisplaySettings& display) const;
  // That message has arrived on this channel, which is left out when its alert is stored.
  void arrived_unstored(const std::string& notice, const std::string& channel);

  // Tries again to store what could not be stored.
  void catch_up();

  // Reminders that are due of alerts still open.
  void remind(Time now);

  // The digest of the day that the moment `day` belongs to, if it has not been sent.
  void digest(std::span<const DigestEntry> entries, Time day, Time now, const DisplaySettings& display);

  // The outbox should be looked at again.
  void wake() { on_queued_(); }

  // Returns the test's alert; its fate on the channel is the result.
  Result<std::int64_t> test(const std::string& channel, Time now, const DisplaySettings& display);

 private:
  struct Pending {
    NewAlert alert;
    std::vector<std::string> channels;
  };

  Outbox outbox_;
  std::deque<Pending> pending_;
  const AlertRouting& routing_;
  std::function<void()> on_queued_;
};

}  // namespace gyle
