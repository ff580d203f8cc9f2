#pragma once

#include <optional>
#include <vector>

#include "base/result.h"
#include "ingest/clock_behind.h"
#include "ingest/decoder.h"
#include "ingest/flood_gate.h"
#include "storage/journal.h"

namespace gyle {

// What stands between decoding a message and keeping it: nothing is taken by a clock that is behind
// (ingest/clock_behind.h), and no sensor fills the disk (ingest/flood_gate.h). Each is logged once.
//   threads  the receiver's
class Admission {
 public:
  // In a rehearsal the time comes from the messages. Errc::storage: the journal cannot be read.
  static Result<Admission> begin(Journal& journal, std::int64_t readings_per_hour, bool rehearsal);

  // The part of `decoded` to be kept; the rest is among its refusals. Called again for a message that could
  // not be kept, it returns the same, until taken(). Errc::unavailable: our clock is behind, the message must
  // wait.
  Result<Decoded> admit(const Message& message, Decoded decoded);

  // The time of the message that shows that our clock is behind; absent while nothing does.
  std::optional<Time> clock_shown_behind() const { return shown_; }

  // The message is kept.
  void taken() { thinned_.reset(); }

 private:
  struct Thinned {
    std::vector<bool> out;  // by reading
    std::vector<Refusal> refusals;
  };

  Admission(std::optional<Time> newest_received, std::int64_t readings_per_hour, bool rehearsal)
      : clock_behind_(newest_received),
        gate_(readings_per_hour),
        per_hour_(readings_per_hour),
        rehearsal_(rehearsal) {}
  Thinned thin(const Message& message, const std::vector<Reading>& readings);

  ClockBehind clock_behind_;
  FloodGate gate_;
  std::int64_t per_hour_;
  bool rehearsal_;
  bool waiting_ = false;
  std::optional<Time> shown_;
  std::optional<Thinned> thinned_;  // of the message that is not kept yet
};

}  // namespace gyle
