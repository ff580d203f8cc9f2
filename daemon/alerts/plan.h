#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "config/calm.h"
#include "storage/outbox.h"

namespace gyle {

// What a channel should do next with what waits for it.
struct Plan {
  std::vector<std::int64_t> overtaken;  // deliveries that are no use any more
  std::vector<std::int64_t> parcel;     // deliveries to be sent in one message; empty: none now
  std::optional<Parcel> packed;         // it is a message already, and is repeated as it was
  Together together = Together::alone;  // of one that is not
  std::optional<std::int64_t> unpack;   // one that has waited too long to be sent as it is: plan again
  std::optional<Duration> wake;         // look again after so long, when nothing is sent now
};

// How the one at the far end wants to be told.
struct Reader {
  bool person;       // spared at night, and told several things in one message; a machine gets each at once
  Calm calm;         // of a person
  std::string zone;  // IANA name: by whose wall clocks it is night
};

// `now` is the machine's clock, which retries go by; `beer_now` the daemon's, which alerts are stamped with.
Plan plan_next(std::span<const Waiting> waiting, const Reader& reader, Time now, Time beer_now);

}  // namespace gyle
