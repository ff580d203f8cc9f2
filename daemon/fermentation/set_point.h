#pragma once

#include <optional>

#include "base/time.h"
#include "fermentation/batch.h"
#include "units/temperature.h"

namespace gyle {

// What the brewer lets an outside thermostat be asked for.
struct SetPointRule {
  Celsius lowest;
  Celsius highest;                     // lowest < highest; nothing outside is ever asked for
  bool automatic = false;              // else the brewer says yes to each temperature first
  Duration resend = minutes(10);       // the same again, for a thermostat that was without power; zero: never
  Duration least_pause = minutes(30);  // between two changes
};

// The temperature that the end of hold number `step` (1-based) leads to.
struct Ask {
  int step = 0;
  Celsius temperature;
  bool operator==(const Ask&) const = default;
};

struct SetPointPast {
  std::optional<Ask> asked;      // what the thermostat has been asked last for this batch
  std::optional<Ask> confirmed;  // what the brewer has said yes to last
  std::optional<Time> changed;   // when this thermostat was last asked for something new, for any batch
  std::optional<Time> sent;      // when `asked` was last sent; absent: not since the daemon started
};

struct SetPoint {
  enum class State {
    off,             // nothing may be asked for in this vessel
    none,            // no hold is over: what the thermostat holds is the brewer's choice
    awaits_yes,      // the brewer has to agree
    agreed,          // to be asked for when it is `due`
    asked,           // it has been asked for; `due` is when it is sent again
    outside_limits,  // the plan wants what the brewer's limits forbid: it is not asked for
    taken_back,      // a hold whose end was acted on is not over after all: nothing is asked for
    ended            // the batch has left its vessel: nothing is asked for any more
  };
  State state = State::off;
  std::optional<Ask> ask;   // what this is about; of taken_back, what was asked
  std::optional<Time> due;  // when it is to be sent; absent: it is not
};

// The word in JSON: "awaits-yes".
const char* name(SetPoint::State state);

bool within_limits(const SetPointRule& rule, Celsius temperature);

// Whether the end of hold number `step` (1-based) was acted on: the beer is most of the way to the next hold,
// a later hold is over too, or there is nothing to change (a last hold, or a step below 1 K, too small to
// see).
bool step_carried_out(const BatchSpec& spec, int holds_over, std::optional<double> temperature_celsius,
                      int step);

// What a thermostat is to be asked for, of a batch in its vessel. Only what the plan wants now, and what the
// brewer has agreed to, is ever sent or sent again: while something waits for a yes, lies outside of the
// limits or is taken back, the thermostat is left alone, so that a hand at it is not undone. It is never
// asked to go back to an earlier hold.
//   holds_over  as the view has it
//   now         times of the past that lie after it are the marks of a wrong clock and do not count
//   tests       unit/fermentation/set_point_test.cpp
SetPoint next_set_point(const BatchSpec& spec, int holds_over, const SetPointRule& rule,
                        const SetPointPast& past, Time now);

}  // namespace gyle
