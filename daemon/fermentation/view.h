#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "fermentation/decision.h"
#include "series/reading.h"

namespace gyle {

enum class Stage { lag, active, slowing, finished, stuck };
const char* name(Stage stage);

// A value with its 80 % interval, low <= value <= high.
struct Interval {
  double value;
  double low;
  double high;
};

// The curve at one accepted gravity reading: what was known at that time, never revised.
struct CurvePoint {
  Time time;
  double gravity_raw;                 // SG as the sensor said
  Interval gravity;                   // SG
  std::optional<double> temperature;  // degC
  std::optional<double> attenuation;  // apparent, 0 to 1; absent while the original gravity is unknown
  Stage stage;
};

// A value beside the curve that the judgement has used: a temperature (degC) of the probe that is listened
// to, wild ones left out, or a hand sample (SG).
struct UsedReading {
  Time time;
  Quantity quantity;
  double value;
};

// What is expected to come. Whatever cannot be said honestly is absent. Times are seconds since the epoch.
struct Forecast {
  Time time;  // made at
  std::optional<Interval> final_gravity;
  std::optional<Interval> final_time;  // gravity within 0.0005 SG of the final gravity
  std::optional<int> step;             // 1-based number of the next unfinished hold
  std::optional<Interval> step_time;   // when it will be over
};

// How one sensor is doing.
struct SensorHealth {
  std::string sensor;
  std::optional<Time> last_heard;
  std::optional<double> usual_interval_s;  // learnt
  std::optional<double> battery_v;
  std::optional<Interval> battery_days;  // until it is nearly empty, if it falls on as of late
  std::optional<double> arrived_share;   // of the messages its rhythm let expect over the last day, 0 to 1
  std::optional<double> longest_gap_s;   // between messages, over the last day
  std::optional<double> clock_off_s;     // how far its stamps are ahead (negative: behind) when useless
  bool battery_low = false;
  bool silent = false;
  bool frozen = false;
  bool implausible = false;
};

// One sentence of the reasons a batch stands where it stands, with the numbers behind it.
struct Reason {
  std::string text;
  Evidence numbers;
};

// Where a batch stands now; for status, explain and pages. Cheap to make, made on demand.
struct BatchView {
  Time time;  // event time
  Stage stage = Stage::lag;
  std::optional<Interval> gravity;         // SG, absent before the first reading
  std::optional<Time> known;               // the newest gravity that was used, of a sensor or by hand
  std::optional<Time> current_until;       // after that what is known is old: no rate, no forecast
  std::optional<double> original_gravity;  // SG, given or inferred
  bool original_gravity_inferred = false;
  std::optional<Interval> float_offset;       // shown - true, points
  std::optional<double> rate_points_per_day;  // negative while gravity falls
  std::optional<double> temperature;          // degC, smoothed
  std::optional<double> attenuation;          // apparent, 0 to 1
  std::optional<Time> started;
  std::optional<Time> final_gravity_since;  // when final-gravity-stable was said, while it holds
  int holds_over = 0;                       // holds whose condition has been met
  Forecast forecast;
  std::vector<SensorHealth> sensors;
  std::vector<Reason> reasons;

  // Its gravity was known once, and has not been for too long. `now` may be later than `time`: the clock of
  // events stands still while no message can come.
  bool old_at(Time now) const { return current_until && now > *current_until; }
};

}  // namespace gyle
