#pragma once

#include <optional>
#include <string>

#include "ingest/refusal.h"
#include "series/reading.h"

namespace gyle {

// Why a value is not believed, in a sentence.
struct Complaint {
  RefusalReason reason;
  std::string detail;
};

// The objection to a value in canonical units; absent when it is plausible.
//   range  gravity 0.980 to 1.200; inclination 0 to 180 degrees; temperatures -30 to 60 degC; battery 0 to
//          30 V
//   probe  exactly 85 degC is what a common kind of one-wire probe holds at power-on before it has measured,
//          exactly -127 what its reader reports without one: both are probe_error, not temperatures
std::optional<Complaint> implausible(Quantity quantity, double value);

// A time stamp is believed from 60 days before its message arrived (a long outage of the network) to a day
// after. Everything else, 1970 and 2099 above all, is a clock that was never set.
constexpr Duration kOldestStamp = days(60);
constexpr Duration kNewestStamp = days(1);

// Clocks on one network differ. A stamp ahead by no more than this is kept: the sensor's own spacing is
// better than that of the arrivals. Further ahead, only the arrival is known.
constexpr Duration kClockSkew = minutes(5);

}  // namespace gyle
