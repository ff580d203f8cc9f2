#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "config/calm.h"
#include "storage/outbox.h"

namespace gyle {

enum class Together {
  alone,      // one alert, in its own words
  at_night,   // what waited for the end of the quiet hours
  after_away  // what could not be delivered for a while
};

// What a channel should do next with what waits for it.
struct Plan {
  std::vector<std::int64_t> overtaken;  // deliveries that are no use any more
  std::vector<std::int64_t> parcel;     // deliveries to be sent in one message; empty: none now
  Together together = Together::alone;
  bool packed = false;                 // it is a parcel already, and is repeated as it was
  std::optional<std::int64_t> unpack;  // a parcel that has waited too long to be sent as it is: plan again
  std::optional<Duration> wake;        // look again after so long, when nothing is sent now
};

// `now` is the machine's clock, which retries go by; `beer_now` the daemon's, which alerts are stamped with.
Plan plan_for_machines(std::span<const Waiting> waiting, Time now);
// Quiet hours are by the wall clocks of `zone` (IANA name).
Plan plan_for_people(std::span<const Waiting> waiting, const Calm& calm, const std::string& zone, Time now,
                     Time beer_now);

}  // namespace gyle
