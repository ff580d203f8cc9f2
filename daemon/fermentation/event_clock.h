#pragma once

#include <optional>
#include <vector>

#include "base/time.h"

namespace gyle {

// Event time: the largest plausible time delivered so far. There is no other clock, so a time is checked
// against the pitch and the stream itself:
//   - far before the pitch, or absurdly far ahead: refused;
//   - up to kFreeLead ahead: accepted. Farther ahead while no clock ticks, as in a replay: accepted if it
//     fits the sensor's own rhythm and no other sensor is overdue; so is the very first row;
//   - farther ahead: accepted when other rows confirm it and no row of the present contradicts it meanwhile.
//     A sensor whose clock has jumped is alone and is contradicted; an outage ends for all sensors at once.
class EventClock {
 public:
  static constexpr Duration kFreeLead = hours(3);      // accepted without a second opinion
  static constexpr Duration kFarthestLead = days(60);  // no outage is longer
  static constexpr Duration kBeforePitch = hours(6);
  static constexpr Duration kSlowestRhythm = hours(36);  // one reading a day is the slowest useful one
  static constexpr Duration kLate = hours(3);            // older rows are history

  enum class Verdict {
    accepted,  // of the present: within (now - kLate, now]
    late,      // plausible, but the present has moved on
    refused,   // implausible, or not confirmed yet
  };

  explicit EventClock(Time pitched) : pitched_(pitched), now_(pitched) {}

  // `sensor`: a small number that tells sensors apart.
  Verdict offer(Time time, std::size_t sensor);
  void tick(Time time);  // the daemon's own clock: trusted unless absurd

  Time now() const { return now_; }

 private:
  struct Candidate {
    Time first;
    Time latest;
    std::size_t sensor;
    int rows;
  };
  struct Rhythm {
    std::optional<Time> last;
    Duration interval{};
  };

  bool in_time(Time time, std::size_t sensor) const;
  bool confirms(Time time, std::size_t sensor);
  Duration longest_silence_of_others(std::size_t sensor) const;
  void accept(Time time, std::size_t sensor);

  Time pitched_;
  Time now_;
  bool ticked_ = false;
  std::optional<Candidate> candidate_;
  std::vector<Rhythm> rhythms_;
};

}  // namespace gyle
