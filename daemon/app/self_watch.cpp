#include "app/self_watch.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "ingest/plausibility.h"

namespace gyle {
namespace {

constexpr Duration kReload = minutes(1);
constexpr Duration kShortLife = hours(1);

constexpr Duration kJump = seconds(60);
constexpr Duration kBetweenJumps = hours(1);  // a clock that is set back and forth is reported once an hour

// Small enough to be free on the card of a small computer, large enough for the database's write-ahead log
// and some days of other programs' logs.
constexpr double kLeastRoom_bytes = 50e6;
// Longer than a brew takes, so that the brewer can choose a quiet evening.
constexpr double kRoomFor_days = 30;
// Free room must reach and keep this multiple of what is needed before the alert is withdrawn.
constexpr double kRoomAgain = 1.5;
constexpr Duration kRoomSettles = minutes(10);

constexpr Duration kBrokerPatience = minutes(15);
constexpr Duration kBrokerSettles = minutes(1);
// Between two looks at most this much counts as time without the broker: in a longer gap the machine slept,
// or the daemon hung.
constexpr Duration kLongestStep = minutes(2);

double unix_seconds(Time time) { return in_seconds(time.time_since_epoch()); }

}  // namespace

SelfWatch::SelfWatch(const OpenTrouble& open, Duration clock_patience)
    : open_(open),
      clock_patience_(clock_patience),
      clock_behind_(open.clock_behind),
      disk_low_(open.disk_low),
      broker_lost_(open.broker_lost_since.has_value()) {}

std::vector<SystemReport> SelfWatch::begin(const std::vector<Run>& earlier, const MachineLook& machine) {
  last_ = machine;
  if (broker_lost_) {
    const Duration lost = std::max(Duration(0), machine.wall - *open_.broker_lost_since);
    deaf_from_ = machine.since_boot - lost;
  }
  std::vector<SystemReport> news;
  const auto raise = [&](SystemAlertKind kind, Evidence evidence) {
    news.push_back({kind, Decision::State::raised, machine.wall, std::move(evidence)});
  };
  if (earlier.empty()) {
    raise(SystemAlertKind::watcher_started, {});
    return news;
  }
  const Run& last = earlier.front();
  const Duration away = machine.wall - last.alive;
  Evidence evidence;
  if (away >= Duration(0)) evidence.emplace_back("away_hours", in_hours(away));
  if (last.stopped) {
    evidence.emplace_back("stopped_time", unix_seconds(*last.stopped));
    if (away < Duration(0) || away >= kReload) raise(SystemAlertKind::watcher_started, std::move(evidence));
  } else {
    const auto lived_on = [](const Run& run) { return run.stopped || run.alive - run.started >= kShortLife; };
    const auto in_a_row =
        static_cast<std::size_t>(std::find_if(earlier.begin(), earlier.end(), lived_on) - earlier.begin());
    evidence.emplace_back("last_alive_time", unix_seconds(last.alive));
    evidence.emplace_back("kills_in_a_row", static_cast<double>(in_a_row));
    if (in_a_row == 0 || std::has_single_bit(in_a_row)) {
      raise(SystemAlertKind::watcher_restarted, std::move(evidence));
    }
  }
  if (away < -kJump) {
    raise(SystemAlertKind::clock_jumped,
          {{"jump_seconds", in_seconds(away)}, {"last_alive_time", unix_seconds(last.alive)}});
    jump_reported_ = machine.since_boot;
  }
  return news;
}

std::vector<SystemReport> SelfWatch::look(const MachineLook& machine, bool broker_connected,
                                          std::optional<Time> shown) {
  std::vector<SystemReport> news;
  if (!last_) last_ = machine;
  look_at_clock(machine, news);
  look_at_clock_behind(machine, shown, news);
  look_at_disk(machine, news);
  look_at_broker(machine, broker_connected, news);
  last_ = machine;
  return news;
}

// Slewing, as time daemons do it, changes the pace of both clocks alike; a step is the wall clock's only.
void SelfWatch::look_at_clock(const MachineLook& machine, std::vector<SystemReport>& news) {
  const Duration step = (machine.wall - last_->wall) - (machine.since_boot - last_->since_boot);
  if (std::chrono::abs(step) > kJump) {
    pending_jump_s_ += in_seconds(step);
    jumped_ = machine.since_boot;
  }
  if (pending_jump_s_ == 0) return;
  if (jump_reported_ && machine.since_boot - *jump_reported_ < kBetweenJumps) return;
  if (std::abs(pending_jump_s_) > in_seconds(kJump)) {
    const Time jumped = machine.wall - (machine.since_boot - jumped_);
    news.push_back({SystemAlertKind::clock_jumped,
                    Decision::State::raised,
                    machine.wall,
                    {{"jump_seconds", pending_jump_s_}, {"jumped_time", unix_seconds(jumped)}}});
    jump_reported_ = machine.since_boot;
  }
  pending_jump_s_ = 0;
}

void SelfWatch::look_at_clock_behind(const MachineLook& machine, std::optional<Time> shown,
                                     std::vector<SystemReport>& news) {
  const Duration now = machine.since_boot;
  const auto tell = [&](Decision::State state, Time by_messages) {
    news.push_back(
        {SystemAlertKind::clock_behind,
         state,
         std::max(machine.wall, by_messages),
         {{"clock_time", unix_seconds(machine.wall)}, {"message_time", unix_seconds(by_messages)}}});
  };
  if (shown) {
    if (!behind_since_) {
      behind_since_ = now;
      shown_ = *shown;
    }
    if (clock_behind_ || now - *behind_since_ < clock_patience_) return;
    clock_behind_ = shown_ + (now - *behind_since_);
    return tell(Decision::State::raised, *clock_behind_);
  }
  const bool ended = behind_since_.has_value();
  const Time reached = ended ? shown_ + (now - *behind_since_) : clock_behind_.value_or(Time{});
  behind_since_.reset();
  const bool behind = machine.wall < reached - kClockSkew;
  // At a start nothing has been seen of the messages yet.
  if (!clock_behind_ || (behind && !ended)) return;
  tell(Decision::State::withdrawn, reached);
  news.back().evidence.emplace_back("still_behind", behind ? 1.0 : 0.0);
  clock_behind_.reset();
}

// Not a share of the disk: five per cent of a large one would last for centuries. Low is reported at once:
// on a full disk no alert can be stored any more.
void SelfWatch::look_at_disk(const MachineLook& machine, std::vector<SystemReport>& news) {
  if (!machine.disk) return;
  growth_.observe(machine.since_boot, machine.disk->free_bytes);
  const auto free = static_cast<double>(machine.disk->free_bytes);
  const double per_day = growth_.per_day().value_or(0);
  const double needed = std::max(kLeastRoom_bytes, kRoomFor_days * per_day);
  const auto tell = [&](Decision::State state) {
    SystemReport one{SystemAlertKind::disk_low,
                     state,
                     machine.wall,
                     {{"free_bytes", free},
                      {"needed_bytes", needed},
                      {"database_bytes", static_cast<double>(machine.disk->database_bytes)}}};
    if (per_day > 0) one.evidence.emplace_back("days_left", free / per_day);
    news.push_back(std::move(one));
    disk_low_ = state == Decision::State::raised;
    roomy_since_.reset();
  };
  if (!disk_low_) {
    if (free < needed) tell(Decision::State::raised);
  } else if (free < kRoomAgain * needed) {
    roomy_since_.reset();
  } else if (!roomy_since_) {
    roomy_since_ = machine.since_boot;
  } else if (machine.since_boot - *roomy_since_ >= kRoomSettles) {
    tell(Decision::State::withdrawn);
  }
}

void SelfWatch::look_at_broker(const MachineLook& machine, bool connected, std::vector<SystemReport>& news) {
  const Duration now = machine.since_boot;
  const auto tell = [&](Decision::State state, Duration until) {
    SystemReport one{SystemAlertKind::broker_lost,
                     state,
                     machine.wall,
                     {{"lost_since_time", unix_seconds(machine.wall - (now - *deaf_from_))},
                      {"lost_hours", in_hours(until - *deaf_from_)}}};
    broker_lost_ = state == Decision::State::raised;
    if (broker_lost_) one.evidence.emplace_back("never_reached", reached_ ? 0.0 : 1.0);
    news.push_back(std::move(one));
  };
  if (!connected) {
    if (!deaf_from_) deaf_from_ = now;
    hearing_since_.reset();
    deaf_ += std::min(now - last_->since_boot, kLongestStep);
    if (!broker_lost_ && deaf_ >= kBrokerPatience) tell(Decision::State::raised, now);
    return;
  }
  reached_ = true;
  if (!deaf_from_) return;
  if (!hearing_since_) hearing_since_ = now;
  if (now - *hearing_since_ < kBrokerSettles) return;
  if (broker_lost_) tell(Decision::State::withdrawn, *hearing_since_);
  deaf_from_.reset();
  hearing_since_.reset();
  deaf_ = Duration(0);
}

}  // namespace gyle
