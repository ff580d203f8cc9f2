#include "alerts/plan.h"

#include <algorithm>

#include "wording/watcher_kind.h"

namespace gyle {
namespace {

constexpr Duration kFresh = hours(6);   // older ones are history, and told as that
constexpr std::size_t kMostAtOnce = 2;  // more at a time come in one message
constexpr int kAttemptsBeforeAnew = 8;  // about twenty minutes: the far end is away

bool same_matter(const StoredAlert& a, const StoredAlert& b) {
  return a.batch == b.batch && a.kind == b.kind && a.sensor == b.sensor && a.step == b.step &&
         a.occurrence == b.occurrence;
}

bool urgent(const Waiting& one, const Calm& calm) {
  return one.alert.severity <= calm.urgent && one.alert.state == Decision::State::raised;
}

void send(Plan& plan, std::span<const Waiting* const> some, Together together) {
  for (const Waiting* one : some) plan.parcel.push_back(one->id);
  plan.together = together;
}

}  // namespace

Plan plan_for_machines(std::span<const Waiting> waiting, Time now) {
  Plan plan;
  if (waiting.empty()) return plan;
  const Waiting& first = waiting.front();
  if (first.next > now) {
    plan.wake = first.next - now;
    return plan;
  }
  plan.parcel = {first.id};
  plan.packed = first.parcel.has_value();
  return plan;
}

Plan plan_for_people(std::span<const Waiting> all, const Calm& calm, const std::string& zone, Time now,
                     Time beer_now) {
  Plan plan;
  // Somebody looks at the phone for a test: it is sent now, or is no use.
  std::vector<Waiting> waiting;
  for (const Waiting& one : all) {
    if (one.alert.kind != name(WatcherKind::test)) {
      waiting.push_back(one);
    } else if (one.attempts > 0) {
      plan.overtaken.push_back(one.id);
    } else {
      plan.parcel = {one.id};
      plan.packed = one.parcel.has_value();
      return plan;
    }
  }
  const auto packed =
      std::find_if(waiting.begin(), waiting.end(), [](const Waiting& w) { return w.parcel.has_value(); });
  if (packed != waiting.end()) {
    if (packed->next > now) {
      plan.wake = packed->next - now;
      return plan;
    }
    for (const Waiting& one : waiting) {
      if (one.parcel == packed->parcel) plan.parcel.push_back(one.id);
    }
    if (packed->attempts > 0 && packed->attempts % kAttemptsBeforeAnew == 0 &&
        waiting.size() > plan.parcel.size()) {
      plan.parcel.clear();
      plan.unpack = packed->parcel;
      return plan;
    }
    plan.packed = true;
    if (plan.parcel.size() > 1)
      plan.together = packed->attempts > 0 ? Together::after_away : Together::at_night;
    return plan;
  }

  // A reminder of what is over, or was acknowledged, or is old itself.
  std::vector<const Waiting*> left;
  bool tried = false;
  for (const Waiting& one : waiting) {
    tried = tried || one.attempts > 0;
    const bool pointless =
        one.reminder > 0 && (one.alert.over || one.alert.acknowledged ||
                             (one.alert.snoozed_until && beer_now < *one.alert.snoozed_until));
    if (pointless) {
      plan.overtaken.push_back(one.id);
    } else {
      left.push_back(&one);
    }
  }
  // Of several reminders of one alert the last is enough; beside the alert itself none is needed.
  const auto superfluous = [&](const Waiting* one) {
    if (one->reminder == 0) return false;
    return std::any_of(left.begin(), left.end(), [&](const Waiting* other) {
      return other->alert.id == one->alert.id && (other->reminder == 0 || other->reminder > one->reminder);
    });
  };
  std::vector<const Waiting*> wanted;
  for (const Waiting* one : left) {
    if (superfluous(one)) {
      plan.overtaken.push_back(one->id);
    } else {
      wanted.push_back(one);
    }
  }
  if (wanted.empty()) return plan;

  const auto quiet_end = quiet_until(calm.quiet, beer_now, zone);
  if (quiet_end) {
    const auto first =
        std::find_if(wanted.begin(), wanted.end(), [&](const Waiting* w) { return urgent(*w, calm); });
    if (first != wanted.end()) {
      send(plan, std::span(&*first, 1), Together::alone);
    } else {
      plan.wake = *quiet_end - beer_now;
    }
    return plan;
  }
  const bool stale = std::any_of(wanted.begin(), wanted.end(), [&](const Waiting* w) {
    return w->reminder == 0 && beer_now - w->alert.time > kFresh;
  });
  const bool came_and_went = std::any_of(wanted.begin(), wanted.end(), [&](const Waiting* w) {
    return w->alert.state == Decision::State::withdrawn &&
           std::any_of(wanted.begin(), wanted.end(), [&](const Waiting* other) {
             return other->alert.state == Decision::State::raised && same_matter(other->alert, w->alert);
           });
  });
  if (wanted.size() <= kMostAtOnce && !stale && !came_and_went) {
    send(plan, std::span(wanted.data(), 1), Together::alone);
    return plan;
  }
  const bool night = !tried && std::all_of(wanted.begin(), wanted.end(), [&](const Waiting* w) {
    return quiet_until(calm.quiet, w->alert.time, zone).has_value();
  });
  send(plan, wanted, night ? Together::at_night : Together::after_away);
  return plan;
}

}  // namespace gyle
