#include "alerts/delivery.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "alerts/delivery_plan.h"
#include "alerts/outgoing_notice.h"

namespace gyle {
namespace {

constexpr Duration kLongestWait = hours(1);
constexpr Duration kNoteAgain = minutes(1);

}  // namespace

struct Delivery::Lane {
  // A notice that is not in the outbox.
  struct Unstored {
    Notice notice;
    std::function<void(const std::string&)> arrived;
    int attempts = 0;
    Time next = {};
  };

  NamedChannel to;
  std::optional<Unstored> unstored = {};
  bool sends_unstored = false;
  bool busy = false;
  bool logged = false;
  // What came of the message that was sent last, when that could not be noted yet. Nothing else is sent
  // before it is, so that nothing is sent twice.
  std::function<Status()> note = {};
};

struct Delivery::State : std::enable_shared_from_this<State> {
  State(Database& database, const Clock& clock_in, const Clock& beer_clock_in, Scheduling scheduling_in,
        std::function<double()> random_in, Options options_in)
      : outbox(database),
        clock(clock_in),
        beer_clock(beer_clock_in),
        scheduling(std::move(scheduling_in)),
        random(std::move(random_in)),
        options(std::move(options_in)) {}

  Outbox outbox;
  const Clock& clock;
  const Clock& beer_clock;
  Scheduling scheduling;
  std::function<double()> random;
  const Options options;
  std::vector<Lane> lanes;
  bool ended = false;
  std::uint64_t waits = 0;

  void pump() {
    if (ended) return;
    Duration wait_for = kLongestWait;
    for (Lane& lane : lanes) {
      if (lane.note && !noted(lane)) wait_for = std::min(wait_for, kNoteAgain);
      if (lane.unstored) wait_for = std::min(wait_for, start_unstored(lane));
      if (!lane.busy && !lane.sends_unstored) wait_for = std::min(wait_for, start(lane));
    }
    look_again_after(wait_for);
  }

  // Sends what is next. Returns after how long to look at this lane again.
  Duration start(Lane& lane) {
    const auto waiting = outbox.waiting(lane.to.name);
    if (!waiting) return trouble(waiting.error());
    const Time now = clock.now();
    const DeliveryPlan plan =
        plan_delivery(waiting.value(), {lane.to.for_people, options.calm, options.display.time_zone}, now,
                      beer_clock.now());
    if (plan.unpack) {
      if (const auto unpacked = outbox.unpack(*plan.unpack); !unpacked) return trouble(unpacked.error());
      return start(lane);
    }
    if (!plan.overtaken.empty()) {
      if (const auto noted = outbox.overtaken(plan.overtaken, now); !noted) return trouble(noted.error());
    }
    if (plan.parcel.empty())
      return std::clamp<Duration>(plan.wake.value_or(kLongestWait), seconds(1), kLongestWait);

    std::vector<Waiting> inside;
    for (const Waiting& one : waiting.value()) {
      if (std::find(plan.parcel.begin(), plan.parcel.end(), one.id) != plan.parcel.end())
        inside.push_back(one);
    }
    // Stored before it is sent, so that after a crash in between the same message is sent again.
    Parcel parcel{};
    if (plan.packed) {
      parcel = *plan.packed;
    } else {
      const auto packed = outbox.pack(plan.parcel, plan.together, beer_clock.now());
      if (!packed) return trouble(packed.error());
      parcel = packed.value();
    }
    Notice notice = outgoing_notice(parcel, inside, options.display);
    if (inside.size() == 1 && inside.front().alert.batch && options.picture && lane.to.for_people) {
      notice.picture_svg = options.picture(*inside.front().alert.batch);
    }
    int attempts = 0;
    for (const Waiting& one : inside) attempts = std::max(attempts, one.attempts);
    lane.busy = true;
    lane.to.channel->send(
        notice, [self = shared_from_this(), &lane, parcel = parcel.number, attempts](Delivered outcome) {
          self->scheduling.post([self, &lane, parcel, attempts, outcome = std::move(outcome)] {
            self->finished(lane, parcel, attempts, outcome);
          });
        });
    return kLongestWait;
  }

  Duration start_unstored(Lane& lane) {
    const bool sends = lane.sends_unstored || (lane.busy && !lane.note);
    if (sends) return kLongestWait;
    const Lane::Unstored& one = *lane.unstored;
    if (one.next > clock.now()) return std::min<Duration>(one.next - clock.now(), kLongestWait);
    if (lane.to.for_people && one.notice.severity > options.calm.urgent) {
      const auto quiet_end = quiet_until(options.calm.quiet, beer_clock.now(), options.display.time_zone);
      if (quiet_end) return std::clamp<Duration>(*quiet_end - beer_clock.now(), seconds(1), kLongestWait);
    }
    lane.sends_unstored = true;
    lane.to.channel->send(one.notice,
                          [self = shared_from_this(), &lane, id = one.notice.id](Delivered outcome) {
                            self->scheduling.post([self, &lane, id, outcome = std::move(outcome)] {
                              self->finished_unstored(lane, id, outcome);
                            });
                          });
    return kLongestWait;
  }

  void finished_unstored(Lane& lane, const std::string& id, const Delivered& outcome) {
    if (ended) return;
    lane.sends_unstored = false;
    if (lane.unstored && lane.unstored->notice.id == id) {
      Lane::Unstored& one = *lane.unstored;
      if (outcome.outcome == Delivered::Outcome::later) {
        if (one.attempts == 0) {
          spdlog::warn("{} cannot be reached and is tried again: {}", lane.to.name, outcome.answer);
        }
        const Duration pause =
            std::max(retry_pause(++one.attempts, random()), outcome.not_before.value_or(Duration{}));
        one.next = clock.now() + std::min<Duration>(pause, hours(6));
      } else {
        const auto arrived = std::move(one.arrived);
        lane.unstored.reset();
        if (outcome.outcome == Delivered::Outcome::arrived) {
          arrived(lane.to.name);
        } else {
          spdlog::error("{} refuses an alert that cannot be stored: {}", lane.to.name, outcome.answer);
        }
      }
    }
    pump();
  }

  Duration trouble(const Error& error) {
    spdlog::error("{}", error.message);
    return minutes(1);
  }

  void finished(Lane& lane, std::int64_t parcel, int attempts, const Delivered& outcome) {
    if (ended) return;
    const Time now = clock.now();
    switch (outcome.outcome) {
      case Delivered::Outcome::arrived:
        lane.note = [=, this] { return outbox.delivered(parcel, now, outcome.answer); };
        lane.logged = false;
        break;
      case Delivered::Outcome::refused:
        lane.note = [=, this] { return outbox.refused(parcel, now, outcome.answer); };
        spdlog::error(
            "{} refuses an alert, which is kept: {}; `gylekeeper channels` shows it, and sends it "
            "again with --retry",
            lane.to.name, outcome.answer);
        break;
      case Delivered::Outcome::later: {
        const Duration pause =
            std::max(retry_pause(attempts + 1, random()), outcome.not_before.value_or(Duration{}));
        lane.note = [=, this] {
          return outbox.failed(parcel, now + std::min<Duration>(pause, hours(6)), outcome.answer);
        };
        if (!lane.logged) {
          spdlog::warn("an alert cannot be delivered by {} and waits: {}", lane.to.name, outcome.answer);
          lane.logged = true;
        }
        break;
      }
    }
    pump();
  }

  bool noted(Lane& lane) {
    if (const auto kept = lane.note(); !kept) {
      trouble(kept.error());
      return false;
    }
    lane.note = nullptr;
    lane.busy = false;
    return true;
  }

  void look_again_after(Duration pause) {
    scheduling.after(pause, [self = shared_from_this(), wait = ++waits] {
      if (wait == self->waits) self->pump();
    });
  }
};

Delivery::Delivery(Database& database, const Clock& clock, const Clock& beer_clock, Scheduling scheduling,
                   std::function<double()> random, std::vector<NamedChannel> channels, Options options)
    : state_(std::make_shared<State>(database, clock, beer_clock, std::move(scheduling), std::move(random),
                                     std::move(options))) {
  for (NamedChannel& channel : channels) state_->lanes.push_back({std::move(channel)});
}

Delivery::~Delivery() { state_->ended = true; }

void Delivery::wake() { state_->pump(); }

void Delivery::send_unstored(const Notice& notice, std::span<const std::string> channels,
                             std::function<void(const std::string& channel)> arrived) {
  for (Lane& lane : state_->lanes) {
    if (std::find(channels.begin(), channels.end(), lane.to.name) == channels.end()) continue;
    lane.unstored = Lane::Unstored{notice, arrived};
  }
  state_->pump();
}

void Delivery::drop_unstored() {
  for (Lane& lane : state_->lanes) lane.unstored.reset();
}

}  // namespace gyle
