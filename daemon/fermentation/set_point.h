#pragma once

#include <optional>

#include "base/time.h"
#include "fermentation/batch.h"
#include "units/temperature.h"

namespace gyle {

// The limits for what a thermostat is asked for.
struct SetPointRule {
  Celsius lowest;
  Celsius highest;                     // lowest < highest; nothing outside is ever asked for
  bool automatic = false;              // else the brewer confirms each temperature first
  Duration resend = minutes(10);       // repeats, for a thermostat that was without power; zero: never
  Duration least_pause = minutes(30);  // between two changes
};

// The temperature after the end of hold number `step` (1-based).
struct Ask {
  int step = 0;
  Celsius temperature;
  bool operator==(const Ask&) const = default;
};

struct SetPointPast {
  std::optional<Ask> asked;      // what the thermostat was last asked for by this batch
  std::optional<Ask> confirmed;  // what the brewer last confirmed
  std::optional<Time> changed;   // when this thermostat was last asked for a new temperature, by any batch
  std::optional<Time> sent;      // when `asked` was last sent; absent: not since the daemon started
};

struct SetPoint {
  enum class State {
    off,             // no thermostat in this vessel
    none,            // no hold is over: the thermostat is the brewer's
    awaits_yes,      // the brewer has to confirm
    agreed,          // to be asked for when it is `due`
    asked,           // it has been asked for, and is sent again when `due`
    outside_limits,  // the plan wants a temperature outside of the limits: it is not asked for
    taken_back,      // a hold that was acted on is not over after all: nothing is asked for
    ended            // the batch has left its vessel: nothing more is asked for
  };
  State state = State::off;
  std::optional<Ask> ask;   // what this is about; of taken_back: what was asked for
  std::optional<Time> due;  // when it is sent; absent: it is not
};

// The word in JSON: "awaits-yes".
const char* name(SetPoint::State state);

bool within_limits(const SetPointRule& rule, Celsius temperature);

// Whether the end of hold number `step` (1-based) was acted on: the beer is most of the way to the next hold,
// a later hold is over too, or there is nothing to change (a last hold, or a step below 1 K, too small to
// see).
bool step_carried_out(const BatchSpec& spec, int holds_over, std::optional<Celsius> temperature, int step);

// What to ask of the thermostat of a batch in its vessel. Only what the plan wants now and the brewer has
// agreed to is sent or repeated: while a temperature waits for confirmation, is outside of the limits or is
// taken back, the thermostat is left alone, so that a manual setting is not undone. It is never asked to go
// back to an earlier hold.
//   holds_over  as in the view
//   now         times in `past` that lie after it come from a wrong clock and are ignored
//   tests       unit/fermentation/set_point_test.cpp
SetPoint next_set_point(const BatchSpec& spec, int holds_over, const SetPointRule& rule,
                        const SetPointPast& past, Time now);

}  // namespace gyle
