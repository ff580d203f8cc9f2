#pragma once

#include <deque>
#include <functional>
#include <span>
#include <string>

#include "alerts/addressees.h"
#include "storage/outbox.h"
#include "wording/digest.h"
#include "wording/watcher_sentences.h"

namespace gyle {

// Puts into the outbox what is not a decision about a batch: system alerts, reminders, the daily digest,
// tests of a channel. What cannot be stored is logged; system alerts are also kept in memory and
// stored, in order, as soon as that works.
//   threads  the loop's
class Announcer {
 public:
  Announcer(Database& database, const Addressees& addressees, std::function<void()> on_queued);

  void say(WatcherKind kind, Decision::State state, const Evidence& evidence, Time time,
           const DisplaySettings& display);

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
  Outbox outbox_;
  std::deque<NewAlert> pending_;
  const Addressees& addressees_;
  std::function<void()> on_queued_;
};

}  // namespace gyle
