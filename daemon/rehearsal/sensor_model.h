#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "rehearsal/random.h"
#include "rehearsal/truth.h"
#include "series/reading.h"

namespace gyle {

// One message as it reaches the broker: what one sensor measured at one time. `stamp` is the time that the
// sensor wrote into it, which is wrong after its clock was reset.
struct RehearsedMessage {
  Time delivered;
  Time stamp;
  std::string sensor;
  std::vector<Reading> readings;  // all with time = stamp
};

// Foam, dry hops or yeast that lift the float (reads higher), press it down (lower) or hold it where it is.
struct Foam {
  double from_h;  // hours since the pitch
  double to_h;
  double lift = 0.0;    // SG, fades in and out over two hours; negative presses the float down
  bool pinned = false;  // the reading stays as it was at `from_h`, then jumps free
};

// Hours since the pitch without delivery; `kept` messages arrive together at its end.
struct Outage {
  double from_h;
  double to_h;
  bool kept = false;
};

// From `at_h` on, for `lasts_h`, stamps are wrong by `off_by_h`.
struct ClockReset {
  double at_h;
  double lasts_h;
  double off_by_h;
};

// How and when any sensor speaks.
struct Radio {
  std::string sensor;
  Duration interval = minutes(15);
  double jitter = 0.02;        // standard deviation of the interval, as a fraction of it
  double first_after_h = 0.1;  // hours since the pitch
  double duplicate_chance = 0.0;
  double late_chance = 0.0;
  double late_mean_h = 2.0;
  std::vector<Outage> outages;
  std::optional<ClockReset> clock_reset;
};

// A floating hydrometer that also reports beer temperature and its battery.
struct Float {
  Radio radio;
  double white_sd = 0.0004;       // SG, while the beer is quiet
  double correlated_sd = 0.0003;  // SG, while the beer is quiet
  double correlation_h = 4.0;
  double active_factor = 3.0;        // noise at a fall of 12 points per day and more, times quiet noise
  bool correlated_constant = false;  // the correlated noise does not follow activity
  double spike_chance = 0.003;       // per reading
  double spike_scale = 0.006;        // SG, mean size
  double offset = 0.0;               // SG, how much too high it reads
  double drift_per_day = 0.0;        // SG
  double per_celsius = 0.0;          // SG per kelvin above 20 degC
  double resolution = 0.0001;        // SG
  std::vector<Foam> foam;
  std::optional<double> frozen_after_h;  // gravity stays as it was, temperature goes on
  double temperature_sd = 0.06;
  double temperature_resolution = 0.1;
  double battery_v = 4.1;
  double battery_v_per_day = 0.008;
  double battery_empty_v = 3.3;  // below it the float is silent
};

// A probe outside the vessel, and one in the beer if asked.
struct Probe {
  Radio radio;
  bool in_beer = false;
  double sd = 0.05;
  double resolution = 0.0625;
  double error_chance = 0.0;  // per reading: 85 or -127 degC, as a probe says that has lost its wire
};

// What the float would show without noise, spikes and foam: the truth through its calibration. SG.
double shown_gravity(const Float& sensor, const Truth& truth, Time time);

// Messages from the pitch to the end of the record, in order of delivery.
std::vector<RehearsedMessage> messages_of(const Float& sensor, const Truth& truth, Random random);
std::vector<RehearsedMessage> messages_of(const Probe& sensor, const Truth& truth, Random random);

// Several sensors' messages, in order of delivery.
std::vector<RehearsedMessage> merged(std::vector<std::vector<RehearsedMessage>> each);

}  // namespace gyle
