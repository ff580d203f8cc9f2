#pragma once

#include <optional>
#include <vector>

#include "fermentation/gravity_history.h"
#include "fermentation/sensor_noise.h"
#include "series/trend_bank.h"
#include "units/temperature.h"

namespace gyle {

// Level and rate of one hydrometer's reading at a reference temperature: without spikes, without its bias
// with temperature, and without what foam adds by lifting or pinning it.
//   units  gravity points above 1.000; hours since the pitch; points per hour
class GravityTrack {
 public:
  struct Estimate {
    double level;  // points at the reference temperature
    double level_sd;
    double rate;  // points per hour, negative while falling
    double rate_sd;
    double warmth_slope;  // points per K
    double warmth_slope_sd;
  };
  struct Jump {
    double time_h;
    double size;  // points, as shown
  };
  // A jump that has not gone back.
  struct Shift {
    double since_h;
    double size;             // points
    bool lasting;            // it has become part of the offset
    bool explained = false;  // by an addition
  };

  GravityTrack(double time_h, double points, Celsius warmth_reference);

  // A reading later than the one before. `temperature`: the beer's, if known.
  void offer(double time_h, double thermal_h, double points, std::optional<Celsius> temperature);

  // The rate at which a model of the batch expects the level to change until the next call, points per hour.
  // `floor`: where it expects the fall to end, points as shown. `refitted`: the model itself has changed, so
  // that part of the difference is already in the rate of the filter.
  void drive(double rate, double floor, bool refitted);

  // Something was added to the beer at `time_h`: from now on the hydrometer shows `keep * shown + points`. What
  // it showed before counts as if that had been in the beer from the beginning.
  void add(double time_h, double keep, double points);

  Estimate estimate() const;  // at the last reading

  double warmth() const { return warmth_; }
  SensorNoise noise() const { return {white_var_, wander_var(), wander_h_}; }
  // The hydrometer's wander, learnt from the whole batch; a usual one until then.
  void set_wander(double variance, double memory_h) {
    wander_var_ = variance;
    wander_h_ = memory_h;
  }
  double last_h() const { return last_h_; }
  double first_h() const { return first_h_; }
  double interval_h() const { return interval_h_; }  // between readings, learnt; 0 until the second
  // The reading is not that of the beer: the hydrometer is lifted, pressed down or pinned.
  bool displaced() const { return displacement_ || pinned_since_h_; }
  bool pinned() const { return pinned_since_h_.has_value(); }
  std::optional<Jump> last_jump() const { return last_jump_; }
  std::optional<Shift> shift() const { return shift_; }
  // By how much the offset has changed in jumps. What was shown before them counts as if it had been shown
  // with the offset of now.
  double moved() const { return moved_; }
  const GravityHistory& history() const { return history_; }

 private:
  static constexpr double kFirstWanderShare = 0.3;  // of the white noise's variance
  double wander_var() const { return wander_var_.value_or(kFirstWanderShare * white_var_); }
  double learn_noise(double gap_h, double points);
  void doubt(double time_h, double points);
  void jump(double time_h, double to, double size);
  void notice_rise(double time_h);
  void notice_pin(double time_h, double points);
  void displace(double time_h, double size);
  void move(double since_h, double by, double level);
  bool added_lately(double time_h) const;
  void end_displacement(double time_h);

  TrendBank bank_;
  GravityHistory history_;
  Celsius reference_;
  double drive_ = 0;
  double warmth_ = 0;
  double first_h_;
  double last_h_;
  double interval_h_ = 0;
  double driven_ = 0;  // sum of the changes that the model expected so far
  std::optional<double> floor_;
  std::optional<Jump> last_jump_;
  // Lifted or pressed by foam or debris: slow noise of that size, until it has decayed.
  struct Displacement {
    double since_h;
    double size;
    std::optional<double> calm_since_h;
  };
  std::optional<Displacement> displacement_;
  std::optional<Shift> shift_;
  double moved_ = 0;
  std::optional<double> added_h_;  // the last addition, ...
  bool added_changes_ = false;     // ... and whether it changes the gravity
  // A pinned hydrometer hardly trembles.
  std::optional<double> pinned_since_h_;
  double pinned_at_ = 0;
  int off_pin_ = 0;
  double tremble_var_ = 0.5;  // white noise of the last hours
  double quiet_var_ = 1e9;    // the least it has been while the hydrometer was free
  double still_h_ = 0;        // since when it has trembled far less than that; 0: it trembles
  bool coarse_ = true;        // every reading a whole number of points
  std::vector<Jump> doubts_;  // outliers that may become a jump; `size` holds the reading
  double doubt_since_h_ = 0;

  std::array<double, 2> recent_{};  // last two readings
  int seen_ = 0;
  double white_var_ = 0.5;  // points^2
  std::optional<double> wander_var_;
  double wander_h_ = 3;
};

}  // namespace gyle
