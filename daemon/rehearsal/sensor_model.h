#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "rehearsal/random.h"
#include "rehearsal/truth.h"
#include "series/reading.h"

namespace gyle {

// One message as it reaches the broker: what one sensor measured at one time. `stamp` is the sensor's own
// time, wrong after a reset of its clock.
struct RehearsedMessage {
  Time delivered;
  Time stamp;
  std::string sensor;
  std::vector<Reading> readings;  // all with time = stamp
};

// Foam, dry hops or yeast that lift the hydrometer (it reads higher), press it down (lower) or hold it.
struct Foam {
  double from_h;  // hours since the pitch
  double to_h;
  double lift = 0.0;    // SG, fades in and out over two hours; negative presses it down
  bool pinned = false;  // the reading stays as it was at `from_h`, then jumps to the truth
};

// No delivery for a while, in hours since the pitch. With `kept` its messages arrive together at the end.
struct Outage {
  double from_h;
  double to_h;
  bool kept = false;
};

// Stamps are wrong by `off_by_h` from `at_h` on, for `lasts_h`.
struct ClockReset {
  double at_h;
  double lasts_h;
  double off_by_h;
};

// When a sensor sends, and what happens to its messages.
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
struct Hydrometer {
  Radio radio;
  double white_sd = 0.0004;       // SG, in a still beer
  double correlated_sd = 0.0003;  // SG, in a still beer
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
  std::optional<double> frozen_after_h;  // gravity stops changing, temperature continues
  double temperature_sd = 0.06;
  double temperature_resolution = 0.1;
  double battery_v = 4.1;
  double battery_v_per_day = 0.008;
  double battery_empty_v = 3.3;  // below it nothing is sent
};

// A probe outside the vessel, and optionally one in the beer.
struct Probe {
  Radio radio;
  bool in_beer = false;
  double sd = 0.05;
  double resolution = 0.0625;
  double error_chance = 0.0;  // per reading: 85 or -127 degC, the values of a disconnected probe
};

// What the hydrometer would show without noise, spikes and foam, in SG: the truth with its offset, drift and
// temperature dependence.
double shown_gravity(const Hydrometer& sensor, const Truth& truth, Time time);

// Messages from the pitch to the end of the record, in order of delivery.
std::vector<RehearsedMessage> messages_of(const Hydrometer& sensor, const Truth& truth, Random random);
std::vector<RehearsedMessage> messages_of(const Probe& sensor, const Truth& truth, Random random);

// Several sensors' messages, in order of delivery.
std::vector<RehearsedMessage> merged(std::vector<std::vector<RehearsedMessage>> each);

}  // namespace gyle
