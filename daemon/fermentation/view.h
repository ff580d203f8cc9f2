#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "fermentation/decision.h"
#include "series/reading.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

enum class Stage { lag, active, slowing, finished, stuck };
const char* name(Stage stage);

// A value with its 80 % interval, low <= value <= high.
template <class T>
struct IntervalOf {
  T value;
  T low;
  T high;
};
using Interval = IntervalOf<double>;  // its unit is that of the member
using TimeInterval = IntervalOf<Time>;
using PointsInterval = IntervalOf<GravityPoints>;

// The curve at one accepted gravity reading: what was known at that time, never revised.
struct CurvePoint {
  Time time;
  double gravity_raw;  // SG as the sensor sent it
  Interval gravity;    // SG
  std::optional<Celsius> temperature;
  std::optional<double> attenuation;  // apparent, 0 to 1; absent while the original gravity is unknown
  Stage stage;
};

// A value other than a sensor's gravity that the judgement has used: a temperature (degC) of the probe in
// use, without wild readings, or a hand sample (SG).
struct UsedReading {
  Time time;
  Quantity quantity;
  double value;
};

// What is expected to come. What cannot be estimated is absent.
struct Forecast {
  Time time;                               // when it was made
  std::optional<Interval> final_gravity;   // SG
  std::optional<TimeInterval> final_time;  // gravity within 0.0005 SG of the final gravity
  std::optional<int> step;                 // 1-based number of the next unfinished hold
  std::optional<TimeInterval> step_time;   // when it will be over
  // It has gone further than its yeast should and still may: no final gravity and no time can be given.
  bool end_unknown = false;
};

// The condition of one sensor.
struct SensorHealth {
  std::string sensor;
  std::optional<Time> last_heard;
  std::optional<Duration> usual_interval;  // learnt
  std::optional<double> battery_v;
  std::optional<Interval> battery_days;  // until it is nearly empty, if it keeps falling as in the last days
  std::optional<double> arrived_share;   // of the messages expected from its rhythm over the last day, 0 to 1
  std::optional<Duration> longest_gap;   // between messages, over the last day
  std::optional<Duration> clock_off;     // how far its clock is ahead (negative: behind), if it is wrong
  bool battery_low = false;
  bool silent = false;
  bool frozen = false;
  bool implausible = false;
};

// Why a batch is in its stage, and what else bears on it. wording/explanation.h has the sentences.
enum class Finding {
  no_reading,            // no gravity has arrived yet
  outdated,              // no gravity has been known for too long
  not_falling,           // no fall beyond the hydrometer's noise
  falling,               //
  slower,                // far slower than at its fastest
  stable,                // over the whole window, and little is still to come
  stopped,               // with more sugar left than the yeast should leave
  reads_high,            // the hydrometer, against the original gravity or hand samples; corrected
  reads_low,             //
  waiting_to_be_stable,  // how far it is from counting as stable
  end_unknown,           // it has gone further than its yeast should, and may go on
  hydrometers_disagree,  // more than their offsets usually differ; `sensor`: the odd one, if that is known
  probes_disagree,       // `sensor`: the one that is not used
};
const char* name(Finding finding);  // "no-reading", ...
std::optional<Finding> finding_named(std::string_view text);

struct Reason {
  Finding finding = Finding::no_reading;
  Evidence numbers;         // behind it
  std::string sensor = {};  // it is about
};

// The state of a batch; for status, explain and pages. Cheap to make, made on demand.
struct BatchView {
  Time time;  // event time
  Stage stage = Stage::lag;
  std::optional<Interval> gravity;         // SG, absent before the first reading
  std::optional<Time> known;               // time of the newest gravity that was used, of a sensor or by hand
  std::optional<Time> current_until;       // after that it is outdated: no rate, no forecast
  std::optional<double> original_gravity;  // SG, given or inferred
  bool original_gravity_inferred = false;
  std::optional<PointsInterval> offset;       // of the hydrometer: shown - true
  std::optional<double> rate_points_per_day;  // negative while gravity falls
  std::optional<Celsius> temperature;         // smoothed
  std::optional<double> attenuation;          // apparent, 0 to 1
  std::optional<Time> started;
  std::optional<Time> final_gravity_since;  // when final-gravity-stable was raised, while it is open
  int holds_over = 0;                       // holds whose condition has been met
  Forecast forecast;
  std::vector<SensorHealth> sensors;
  std::vector<Reason> reasons;

  // Its gravity was known once, and has not been for too long. `now` may be later than `time`: event time
  // does not advance while no message arrives.
  bool old_at(Time now) const { return current_until && now > *current_until; }
};

}  // namespace gyle
