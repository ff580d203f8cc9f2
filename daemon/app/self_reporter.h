#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "alerts/alert_routing.h"
#include "app/announcer.h"
#include "app/self_watch.h"
#include "base/clock.h"
#include "storage/database.h"
#include "storage/run_log.h"
#include "wording/display.h"

namespace gyle {

// Reports what is the matter with the daemon itself: how earlier runs ended, whether the database is whole and can be
// written, and what SelfWatch decides about disk, clock and connection. A rehearsal calls neither begin() nor look().
//   owner    must not outlive `database`, `announcer`, `routing` and `clock`, which is the machine's
//   threads  the loop's
class SelfReporter {
 public:
  struct Effects {
    std::function<void(const std::string&)> show_database;  // what is wrong with it; empty: nothing
    // The outbox is in the database that cannot be written: past it, until it can.
    std::function<void(const Announcer::Unstored&)> send_unstored;
    std::function<void()> drop_unstored;
  };

  SelfReporter(Database& database, Announcer& announcer, const AlertRouting& routing, const Clock& clock,
               std::filesystem::path file, DisplaySettings display, Effects effects,
               Duration clock_patience = SelfWatch::kClockPatience);

  // At the start. A damaged database is used as far as possible: a watch with gaps is better than none.
  void check_database();
  bool damaged() const { return !damage_.empty(); }

  // The run begins. On a full disk that cannot be stored: `worth_retrying()`, and look() tries it again.
  //   gone   there had been a database, and a new one was begun
  Status begin(bool gone);
  // Every minute or so, and when something has changed.
  void look(bool broker_connected);
  void stop();

  // Why messages cannot be stored; empty: they can.
  void messages_trouble(const std::string& trouble);
  // A message was refused for ever.
  void message_unstorable();
  // The time of a message that shows that the clock is behind; absent: none does.
  void clock_shown(std::optional<Time> shown) { shown_behind_ = shown; }

 private:
  Status begin_run();
  Result<SelfWatch::OpenTrouble> open_trouble();
  void look_at_database();
  void show_database();
  bool report(SystemAlertKind kind, Decision::State state);
  void report(const std::vector<SystemReport>& news);

  Database& database_;
  Announcer& announcer_;
  const AlertRouting& routing_;
  const Clock& clock_;
  const std::filesystem::path file_;
  const DisplaySettings display_;
  const Effects effects_;
  const Duration clock_patience_;
  RunLog run_log_;
  std::unique_ptr<SelfWatch> watch_;  // once the run has begun
  bool gone_ = false;
  std::string damage_;            // as found at the start; empty: none
  std::string messages_trouble_;  // why messages cannot be stored; empty: they can
  std::string own_trouble_;       // why nothing else can
  std::optional<Time> shown_behind_;
  bool reported_damage_ = false;  // an alert of it is open
  bool reported_unwritable_ = false;
  bool reported_unstorable_ = false;  // in this run
};

}  // namespace gyle
