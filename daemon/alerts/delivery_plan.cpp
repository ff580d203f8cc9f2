#include "alerts/delivery_plan.h"

#include <algorithm>
#include <cmath>

#include "wording/system_alert_kind.h"

namespace gyle {
namespace {

constexpr Duration kFresh = hours(6);     // older alerts are sent as history
constexpr std::size_t kMaxSeparate = 2;   // more at a time are combined
constexpr int kAttemptsBeforeUnpack = 8;  // about twenty minutes

bool same_matter(const StoredAlert& a, const StoredAlert& b) {
  return a.batch == b.batch && a.kind == b.kind && a.sensor == b.sensor && a.step == b.step &&
         a.occurrence == b.occurrence;
}

bool urgent(const Waiting& one, const Calm& calm) {
  return one.alert.severity <= calm.urgent && one.alert.state == Decision::State::raised;
}

// Repeats a message unchanged when its retry is due.
void repeat(DeliveryPlan& plan, const std::vector<Waiting>& waiting, const Waiting& first, Time now) {
  if (first.next > now) {
    plan.wake = first.next - now;
    return;
  }
  for (const Waiting& one : waiting) {
    if (one.parcel && one.parcel->number == first.parcel->number) plan.parcel.push_back(one.id);
  }
  plan.packed = first.parcel;
}

void plan_for_machine(DeliveryPlan& plan, const std::vector<Waiting>& waiting, Time now) {
  if (waiting.empty()) return;
  if (waiting.front().parcel) {
    repeat(plan, waiting, waiting.front(), now);
  } else {
    plan.parcel = {waiting.front().id};
  }
}

void plan_for_person(DeliveryPlan& plan, const std::vector<Waiting>& waiting, const Calm& calm,
                     const std::string& zone, Time now, Time beer_now) {
  const auto packed =
      std::find_if(waiting.begin(), waiting.end(), [](const Waiting& w) { return w.parcel.has_value(); });
  const auto quiet_end = quiet_until(calm.quiet, beer_now, zone);
  if (quiet_end) {
    // An urgent alert is sent alone, also before a message that waits for the morning.
    const auto first =
        std::find_if(waiting.begin(), waiting.end(), [&](const Waiting& w) { return urgent(w, calm); });
    if (first == waiting.end()) {
      plan.wake = *quiet_end - beer_now;
    } else if (first->parcel) {
      repeat(plan, waiting, *first, now);
    } else {
      plan.parcel = {first->id};
    }
    return;
  }
  if (packed != waiting.end()) {
    repeat(plan, waiting, *packed, now);
    const bool more = waiting.size() > plan.parcel.size();
    if (!plan.parcel.empty() && packed->attempts > 0 && packed->attempts % kAttemptsBeforeUnpack == 0 &&
        more) {
      plan.parcel.clear();
      plan.packed.reset();
      plan.unpack = packed->parcel->number;
    }
    return;
  }

  // Drop reminders of alerts that are over, acknowledged or snoozed.
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
  // Keep only the last reminder of an alert, and none beside the alert itself.
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
  if (wanted.empty()) return;

  const bool stale = std::any_of(wanted.begin(), wanted.end(), [&](const Waiting* w) {
    return w->reminder == 0 && beer_now - w->alert.time > kFresh;
  });
  const bool came_and_went = std::any_of(wanted.begin(), wanted.end(), [&](const Waiting* w) {
    return w->alert.state == Decision::State::withdrawn &&
           std::any_of(wanted.begin(), wanted.end(), [&](const Waiting* other) {
             return other->alert.state == Decision::State::raised && same_matter(other->alert, w->alert);
           });
  });
  if (wanted.size() <= kMaxSeparate && !stale && !came_and_went) {
    plan.parcel = {wanted.front()->id};
    return;
  }
  for (const Waiting* one : wanted) plan.parcel.push_back(one->id);
  const bool night = !tried && std::all_of(wanted.begin(), wanted.end(), [&](const Waiting* w) {
    return quiet_until(calm.quiet, w->alert.time, zone).has_value();
  });
  plan.together = night ? Together::quiet_hours : tried || stale ? Together::sent_late : Together::at_once;
}

}  // namespace

DeliveryPlan plan_delivery(std::span<const Waiting> all, const Recipient& recipient, Time now,
                           Time beer_now) {
  DeliveryPlan plan;
  // Somebody is waiting for the result of a test: send it now, once.
  std::vector<Waiting> waiting;
  for (const Waiting& one : all) {
    if (one.alert.kind != name(SystemAlertKind::test)) {
      waiting.push_back(one);
    } else if (one.attempts > 0) {
      plan.overtaken.push_back(one.id);
    } else {
      plan.parcel = {one.id};
      plan.packed = one.parcel;
      return plan;
    }
  }
  if (recipient.person) {
    plan_for_person(plan, waiting, recipient.calm, recipient.zone, now, beer_now);
  } else {
    plan_for_machine(plan, waiting, now);
  }
  return plan;
}

Duration retry_pause(int failures, double random) {
  constexpr double kFirst_s = 5;
  constexpr double kLongest_s = 3600;
  const double full_s = std::min(kLongest_s, kFirst_s * std::pow(2.0, std::min(failures, 20) - 1));
  return from_hours(full_s * (1 - random / 3) / 3600);
}

}  // namespace gyle
