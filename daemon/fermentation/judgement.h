#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "fermentation/alert_ledger.h"
#include "fermentation/course.h"
#include "fermentation/event_clock.h"
#include "fermentation/gravity_track.h"
#include "fermentation/level_doubt.h"
#include "fermentation/sensor_watch.h"
#include "fermentation/still_window.h"
#include "fermentation/tail_fit.h"
#include "fermentation/temperature_track.h"
#include "fermentation/tracker.h"

namespace gyle {

// The specific gravity at so many points above that of water.
inline double gravity_of(double points) { return 1 + points / 1000; }

// The state of a tracker, and the order in which it is evaluated.
class Tracker::Judgement {
 public:
  explicit Judgement(BatchSpec spec);

  Outcome advance(const Event& event);
  BatchView view() const;
  Outlook outlook(const WhatIf& question) const;
  const BatchSpec& spec() const { return given_; }

 private:
  // The gravity of the beer: what the primary hydrometer shows, without its offset.
  struct Beer {
    GravityTrack::Estimate shown;  // by the hydrometer
    double offset;                 // shown - true, points
    double offset_sd;
    Interval offset_range;  // 80 %
    double points;          // true
    double points_sd;
    Interval range;   // of it, 80 %: the hydrometer's noise, its offset and its bias with temperature
    double original;  // points
    double attenuation;
  };

  void advance_to(Time time, Outcome& out);
  void every_quarter_hour(Time time, Outcome& out);
  void every_hour(Time time, Outcome& out);
  void forecast_row(Time time, Outcome& out);
  void accept(const Reading& reading, std::size_t sensor, Outcome& out);
  void accept_gravity(const Reading& reading, std::size_t sensor, Outcome& out);
  void accept_addition(const Addition& addition, Outcome& out);
  void follow_move(double by);
  void accept_sample(const Reading& reading, std::size_t sensor);

  void judge_sensors(Time time, Outcome& out);
  bool judge_silence(Time time, std::size_t sensor, Outcome& out);
  void judge_battery(Time time, std::size_t sensor, Outcome& out);
  bool battery_died(std::size_t sensor) const;
  void judge_temperature(Time time, Outcome& out);
  bool temperature_unknown(Time time, AlertKind kind, std::optional<int> step, Outcome& out);
  void judge_start(Time time, const Beer& beer, Outcome& out);
  void judge_plan(Time time, const std::optional<Beer>& beer, Outcome& out);
  void judge_step_held(Time time, Outcome& out);
  void judge_end(Time time, const Beer& beer, Outcome& out);
  void judge_stall(Time time, const Beer& beer, Outcome& out);
  void judge_jump(Time time, Outcome& out);
  void judge_over_attenuation(Time time, const Beer& beer, Outcome& out);

  struct Beside {
    std::size_t sensor;
    double difference;  // points
    double moved;       // by how much its own offset has jumped
  };
  std::vector<Beside> others_beside() const;
  std::vector<HydrometerBeside> hydrometers_beside() const;
  std::vector<Reason> disagreements() const;
  std::vector<Reason> reasons(const BatchView& view, const std::optional<Beer>& now) const;
  double creep_prior(const Beer& beer) const;
  void fit_tail();
  void mix_in_tail(std::vector<WeightedValue>& finals) const;
  void refit();
  void learn_wander();
  void drive(bool refitted);
  double thermal_speed() const;  // thermal hours per hour now
  std::optional<Beer> beer() const;
  bool fresh(double now_h) const;  // the primary hydrometer has sent lately, by its own rhythm
  Stage stage() const;
  bool hold_is_over(const Hold& hold, Time time, const std::optional<Beer>& beer) const;
  static Interval interval_of(std::vector<WeightedValue>& values);
  TimeInterval time_interval(const Interval& hours) const;  // of hours since the pitch
  // `end_hours` receives the hours since the pitch at which each possible course reaches its end.
  Forecast make_forecast(Time time, const std::optional<HypotheticalHold>& supposed = {},
                         std::vector<WeightedValue>* end_hours = nullptr) const;
  double chance_left_above(double points) const;  // of the fall still to come
  double shown_at(double time_h) const;
  double moved() const { return primary_ ? tracks_.at(*primary_).moved() : 0.0; }
  double offset() const { return (level_doubt_ ? level_doubt_->mean() : 0.0) + moved(); }
  double detection_h(std::size_t which) const;
  std::pair<double, double> start_shown() const;  // mean, standard deviation
  double hours_since_pitch(Time time) const { return in_hours(time - spec_.pitched); }
  const Hold* current_hold() const;

  BatchSpec given_;
  BatchSpec spec_;  // as the additions so far have changed it
  std::size_t additions_seen_ = 0;
  std::vector<std::pair<double, AdditionEffect>> applied_;  // by hours since the pitch
  std::vector<AddedFall> added_;
  std::optional<double> changed_h_;  // the last addition that changes the gravity
  EventClock clock_;
  SensorWatch watch_;
  AlertLedger ledger_;
  TemperatureTrack beer_temperature_;
  TemperatureTrack ambient_temperature_;
  ThermalTime thermal_;
  std::map<std::size_t, GravityTrack> tracks_;
  std::optional<std::size_t> primary_;  // the sensor whose gravity is that of the batch
  std::optional<std::size_t> hand_;     // hand samples, when there is no hydrometer in the beer
  struct Sample {
    double time_h;
    double thermal_h;
    double points;
  };
  std::vector<Sample> samples_;
  std::optional<std::pair<double, double>>
      start_shown_;  // by the primary hydrometer: mean, standard deviation
  std::optional<LevelDoubt> level_doubt_;
  CourseFit course_;
  double fitted_to_h_ = -1;

  Time looked_;  // last grid point
  std::optional<Time> next_forecast_;
  std::optional<Time> last_curve_;
  bool packaged_ = false;

  // Progress.
  int start_votes_ = 0;
  std::optional<Time> started_;
  double fastest_rate_ = 0;  // points per hour, positive
  std::size_t holds_over_ = 0;
  std::vector<Time> hold_due_;
  std::optional<double> temperature_when_due_;
  std::optional<Time> final_since_;
  double final_level_ = 0;
  double final_level_sd_ = 0;
  double stuck_level_ = 0;
  std::optional<Time> moved_again_;  // after it was stuck
  int over_votes_ = 0;
  std::optional<double> asked_about_h_;  // the jump that was asked about
  std::optional<double> sampled_h_;      // the newest hand sample
  double outside_h_ = 0;  // how long the temperature has been out of range; far out counts more
  double outside_since_h_ = 0;
  int inside_looks_ = 0;          // in a row
  std::optional<double> done_h_;  // hours since the pitch: when final gravity is expected to be reported
  std::optional<StillWindow> end_window_;
  std::optional<TailFit> tail_;
  double tail_fitted_h_ = 0;
};

}  // namespace gyle
