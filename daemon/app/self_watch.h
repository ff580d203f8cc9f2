#pragma once

#include <optional>
#include <vector>

#include "app/disk_growth.h"
#include "app/machine.h"
#include "fermentation/decision.h"
#include "storage/run_log.h"
#include "wording/system_alert_kind.h"

namespace gyle {

// A system alert of the watch on the daemon itself.
// Evidence of each kind ([x] = only when known); times are seconds since the epoch, by the wall clock at the
// moment of the report:
//   watcher_started    [away_hours stopped_time]   neither at the first start ever
//   watcher_restarted  [away_hours] last_alive_time kills_in_a_row
//                      away_hours: absent when the clock says that it was alive in the future;
//                      kills_in_a_row: how many of the latest runs, this end included, were killed in their
//                      first hour; 0: the last one had lived longer
//   disk_low           free_bytes needed_bytes database_bytes [days_left]
//                      days_left: at the pace of the last week, if it fills and a day of it was observed
//   broker_lost        lost_since_time lost_hours [never_reached]
//                      never_reached: of a raise; 1: not once since the start, else 0
//   clock_jumped       jump_seconds (forward: positive) [jumped_time] [last_alive_time]
//                      one of the two: when it jumped, or, at a start, that the clock is behind where it was
//                      when the last run was alive, and by how much at least
//   clock_behind       clock_time message_time [still_behind]
//                      message_time: by what the messages show, now; still_behind: of a withdrawal; 1: messages
//                      are taken although the clock has not been set
// A clock_behind carries the time that the messages show, which is nearer to the truth than the clock.
// A withdrawal (disk_low, broker_lost and clock_behind only; the others are over as soon as they are reported) carries the
// same; broker_lost then has the whole loss, without the minute of waiting to see whether it is over.
struct SystemReport {
  SystemAlertKind kind;
  Decision::State state;
  Time time;
  Evidence evidence;
};

// Decides what about the daemon itself is reported, each once. Pure: time and machine come from outside.
class SelfWatch {
 public:
  // Raised by an earlier run and not withdrawn yet: not raised again.
  struct OpenTrouble {
    bool disk_low = false;
    std::optional<Time> broker_lost_since;
    std::optional<Time> clock_behind;  // the time of that alert
  };

  static constexpr Duration kClockPatience = minutes(5);  // set soon after the network is there

  explicit SelfWatch(const OpenTrouble& open, Duration clock_patience = kClockPatience);

  // Once, first. `earlier` as RunLog::begin() returns it. A start less than a minute after a clean stop is a
  // reload or an upgrade, and reports nothing. Of a daemon that is killed again and again in its first hour,
  // only the first, second, fourth, eighth ... kill is reported.
  std::vector<SystemReport> begin(const std::vector<Run>& earlier, const MachineLook& machine);

  // Every few seconds to every minute, and after each change of the connection.
  // `shown`: the time of a message that shows that the clock is behind (Receiver::Handlers::clock).
  std::vector<SystemReport> look(const MachineLook& machine, bool broker_connected,
                                 std::optional<Time> shown = std::nullopt);

 private:
  void look_at_clock(const MachineLook& machine, std::vector<SystemReport>& news);
  void look_at_disk(const MachineLook& machine, std::vector<SystemReport>& news);
  void look_at_clock_behind(const MachineLook& machine, std::optional<Time> shown,
                            std::vector<SystemReport>& news);
  void look_at_broker(const MachineLook& machine, bool connected, std::vector<SystemReport>& news);

  const OpenTrouble open_;
  const Duration clock_patience_;
  std::optional<MachineLook> last_;

  double pending_jump_s_ = 0;
  Duration jumped_{};                      // since boot; the last jump not reported yet
  std::optional<Duration> jump_reported_;  // since boot

  std::optional<Time> clock_behind_;      // the time of the open alert
  std::optional<Duration> behind_since_;  // since boot
  Time shown_{};                          // by the messages, at behind_since_

  DiskGrowth growth_;
  bool disk_low_;
  std::optional<Duration> roomy_since_;  // since boot; the room is enough again

  bool broker_lost_;
  bool reached_ = false;
  Duration deaf_{};                        // how long there was no connection, as far as we were awake
  std::optional<Duration> deaf_from_;      // since boot
  std::optional<Duration> hearing_since_;  // since boot; connected, but perhaps not for long
};

}  // namespace gyle
