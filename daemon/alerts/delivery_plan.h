#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/time.h"
#include "notices/quiet_hours.h"
#include "storage/outbox.h"

namespace gyle {

// What a channel does next with its waiting deliveries.
struct DeliveryPlan {
  std::vector<std::int64_t> overtaken;  // deliveries that are obsolete
  std::vector<std::int64_t> parcel;     // deliveries to send in one message; empty: none now
  std::optional<Parcel> packed;         // set: repeat this message unchanged
  Together together = Together::alone;  // otherwise: how the new message combines them
  std::optional<std::int64_t> unpack;   // a parcel that failed too long: unpack it and plan again
  std::optional<Duration> wake;         // when nothing is sent now: when to plan again
};

struct Recipient {
  bool person;       // has quiet hours, and gets several alerts in one message; a machine gets each at once
  Calm calm;         // of a person
  std::string zone;  // IANA name, for the quiet hours
};

// Pure.
//   now       of the machine's clock, for retries
//   beer_now  of the daemon's clock, for quiet hours and the age of alerts
//   tests     unit/alerts/delivery_plan_test.cpp
DeliveryPlan plan_delivery(std::span<const Waiting> waiting, const Recipient& recipient, Time now,
                           Time beer_now);

// Pause before the next attempt after `failures` (1 or more) failed ones: 5 s, doubling up to an hour, each
// shortened by up to a third so that retries spread. `random` is uniform in [0, 1).
Duration retry_pause(int failures, double random);

}  // namespace gyle
