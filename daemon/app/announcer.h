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

// Puts into the outbox what is no decision about a batch: what the watcher says of itself, reminders, the
// daily digest, tests of a channel. What cannot be stored is logged, and what the watcher says of itself is
// kept in memory and stored, in order, as soon as that works.
//   threads  the loop's
class Announcer {
 public:
  Announcer(Database& database, const Addressees& addressees, std::function<void()> on_news);

  void say(WatcherKind kind, Decision::State state, const Evidence& evidence, Time time,
           const DisplaySettings& display);

  // Tries again to store what could not be stored.
  void catch_up();

  // Reminders that have become due of what still stands.
  void remind(Time now);

  // The digest of the day that `day` (its moment) belongs to, if it has not been sent.
  void digest(std::span<const DigestEntry> entries, Time day, Time now, const DisplaySettings& display);

  // What waits in the outbox is worth another look.
  void wake() { on_news_(); }

  // Returns the alert whose fate on the channel tells what came of it.
  Result<std::int64_t> test(const std::string& channel, Time now, const DisplaySettings& display);

 private:
  Outbox outbox_;
  std::deque<NewAlert> pending_;
  const Addressees& addressees_;
  std::function<void()> on_news_;
};

}  // namespace gyle
