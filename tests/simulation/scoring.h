#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "fermentation/tracker.h"
#include "simulation/simulated_batch.h"

namespace gyle::simulation {

// Everything the core said about one batch.
struct Verdicts {
  std::vector<Decision> decisions;
  std::vector<CurvePoint> curve;
  std::vector<Forecast> forecasts;
  std::vector<std::pair<Time, TimeInterval>> ready;  // when it can be packaged, as said every 6 h
  double microseconds_per_reading;
};

// Feeds the readings in order of delivery, as replay does: no ticks, nothing else.
Verdicts judge(const SimulatedBatch& batch);

// An interval against the truth: signed error of the value (value - truth), width, whether it held, and the
// error as a multiple of the interval's half on the side of the truth: 1 at its edge.
struct IntervalScore {
  double error;
  double width;
  bool holds;
  double reach;
};

// The error of a curve over the accepted gravity readings of one batch, in one frame.
struct CurveScore {
  double rms_points = 0.0;      // of the curve, points
  double raw_rms_points = 0.0;  // of the readings as they came, points
  double mae_points = 0.0;
  double raw_mae_points = 0.0;
  double covered = 0.0;       // share of readings at which the 80 % band holds the truth
  double width_points = 0.0;  // mean
  std::size_t points = 0;
};

// Shares of the fall at which forecasts are looked at.
constexpr std::array<double, 4> kShares{0.25, 0.50, 0.75, 0.90};

// What the verdicts on one batch are worth. Times in hours; delays count from the hydrometer's first message
// after the fact, before which nobody can know. An absent value: does not apply to this batch, or (where a
// `..._missed` says so) was not said.
struct Score {
  // final-gravity-stable. Any raise counts for `..._early`, also one that was withdrawn later. Legitimate is:
  // within 0.0005 SG of the final gravity for the whole window.
  double worst_to_go = -1.0;        // points still to go at the worst raise; -1: never said
  bool stuck_called_final = false;  // raised while stuck, or without ever having started
  std::optional<double>
      final_delay_h;          // first raise with at most one point to go, against the legitimate time
  bool final_missed = false;  // not said within ten days of being legitimate

  // stuck. Found: raised from twelve hours before the beer counts as stuck until it moves again.
  bool has_stuck = false;
  std::optional<double> stuck_delay_h;
  int false_stuck = 0;  // raises while the beer was not stuck

  std::optional<double> step_error_h;  // signed, first step-due of step 1 against its condition truly met
  bool step_missed = false;
  bool step_early_without_reason = false;  // said although the condition is never met

  // Start: truly the first fall of one point, or the first gravity reading when that is later.
  std::optional<double> start_delay_h;
  bool start_missed = false;  // not said within 24 h
  bool start_false = false;   // raised with less than 0.3 points fallen

  std::optional<double> step_forecast_error_h;  // made 24 h ahead
  bool step_forecast_absent = false;
  std::array<std::optional<IntervalScore>, 4> final_gravity;  // points
  std::array<std::optional<IntervalScore>, 4> final_time;     // hours
  std::array<std::optional<IntervalScore>, 4> step_time;      // hours; of a first hold that was not over yet
  std::array<bool, 4> forecast_due{};                         // the fall got there, under a live hydrometer

  CurveScore
      as_shown;  // against the truth as the hydrometer would show it: its offset, drift and temperature bias in
  CurveScore as_true;  // against the gravity of the beer
  // Over the 24 h before a moment picked at random: scatter of the curve about the truth, a constant bias
  // taken out, over that of the readings.
  std::optional<double> at_use;
  std::optional<IntervalScore>
      ready_time;  // hours; as said at 75 % of the fall, against final-gravity-stable

  std::optional<bool> frozen_found;  // within 48 h
  int false_frozen = 0;
  std::optional<double> silent_delay_h;
  std::optional<bool> silent_found;          // within 24 h
  std::optional<bool> silent_found_quickly;  // within three of its intervals or 2 h, whichever is longer
  int false_silent = 0;
  std::optional<bool> range_found;  // within 12 h
  int false_range = 0;
  std::optional<bool> over_found;  // within 5 days of being three hundredths above the band
  bool over_false = false;
  std::optional<bool> not_held_found;  // within 3 days
  int false_not_held = 0;  // raised before the step was due, or with the beer within 1 K of what was wanted
  std::optional<bool>
      slow_start_said;            // never started, or no start within 48 h: said within 96 h of the pitch
  bool slow_start_false = false;  // raised after the true start, or within 12 h of the pitch
  int false_implausible = 0;

  int raised = 0;  // a true sensor-silent is not counted: it is asked for, within hours
  int needed = 0;  // start, one per hold that was over and is not the last until-final one, final
  double microseconds_per_reading = 0.0;
};

Score score(const SimulatedBatch& batch, const Verdicts& verdicts);

}  // namespace gyle::simulation
