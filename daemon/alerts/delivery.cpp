#include "alerts/delivery.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "alerts/retry_pause.h"

namespace gyle {
namespace {

constexpr Duration kLongestNap = hours(1);

// Identity within this Gylekeeper, the same for every attempt.
std::string notice_id(const StoredAlert& alert) {
  return fmt::format("{}-{}-{}", alert.batch, alert.id, name(alert.decision.state));
}

Notice notice_of(const StoredAlert& alert) {
  return {notice_id(alert),     alert.decision.time, alert.decision.kind, severity_of(alert.decision.kind),
          alert.decision.state, alert.vessel,        alert.batch_name,    alert.decision.sensor,
          alert.sentence,       alert.evidence};
}

}  // namespace

struct Delivery::Lane {
  std::unique_ptr<Channel> channel;
  bool busy = false;
  bool complained = false;
};

struct Delivery::State : std::enable_shared_from_this<State> {
  State(Database& database, const Clock& clock_in, Scheduling scheduling_in,
        std::function<double()> random_in)
      : outbox(database),
        clock(clock_in),
        scheduling(std::move(scheduling_in)),
        random(std::move(random_in)) {}

  Outbox outbox;
  const Clock& clock;
  Scheduling scheduling;
  std::function<double()> random;
  std::vector<Lane> lanes;
  bool ended = false;
  std::uint64_t naps = 0;

  void pump() {
    if (ended) return;
    for (Lane& lane : lanes) start(lane);
    nap();
  }

  void start(Lane& lane) {
    if (lane.busy) return;
    const auto due = outbox.due(lane.channel->name(), clock.now(), 1);
    if (!due) {
      spdlog::error("{}", due.error().message);
      return;
    }
    if (due.value().empty()) return;
    const Pending pending = due.value().front();
    lane.busy = true;
    lane.channel->send(
        notice_of(pending.alert), [self = shared_from_this(), &lane, pending](const Status& outcome) {
          self->scheduling.post([self, &lane, pending, outcome] { self->finished(lane, pending, outcome); });
        });
  }

  void finished(Lane& lane, const Pending& pending, const Status& outcome) {
    if (ended) return;
    lane.busy = false;
    Status kept = success();
    if (outcome) {
      kept = outbox.delivered(pending.id, clock.now());
      lane.complained = false;
    } else {
      const Duration pause = retry_pause(pending.attempts + 1, random());
      kept = outbox.failed(pending.id, clock.now() + pause, outcome.error().message);
      if (!lane.complained) {
        spdlog::warn("an alert cannot be delivered by {} and waits: {}", lane.channel->name(),
                     outcome.error().message);
        lane.complained = true;
      }
    }
    if (!kept) {
      spdlog::error("{}", kept.error().message);
      return;  // the next nap ends in another try
    }
    pump();
  }

  // Sleeps until something is due again, at most an hour.
  void nap() {
    const auto next = outbox.next_due();
    Duration pause = kLongestNap;
    if (next && next.value())
      pause = std::clamp<Duration>(*next.value() - clock.now(), seconds(1), kLongestNap);
    scheduling.after(pause, [self = shared_from_this(), nap = ++naps] {
      if (nap == self->naps) self->pump();
    });
  }
};

Delivery::Delivery(Database& database, const Clock& clock, Scheduling scheduling,
                   std::function<double()> random, std::vector<std::unique_ptr<Channel>> channels)
    : state_(std::make_shared<State>(database, clock, std::move(scheduling), std::move(random))) {
  for (auto& channel : channels) state_->lanes.push_back({std::move(channel)});
}

Delivery::~Delivery() { state_->ended = true; }

void Delivery::wake() { state_->pump(); }

}  // namespace gyle
