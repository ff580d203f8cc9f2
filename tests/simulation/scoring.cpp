#include "simulation/scoring.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "rehearsal/random.h"

namespace gyle::simulation {
namespace {

bool raises(const Decision& decision, AlertKind kind) {
  return decision.kind == kind && decision.state == Decision::State::raised;
}

// The first raise of a kind in [from, to].
std::optional<Time> first_raise(const Verdicts& verdicts, AlertKind kind, Time from, Time to) {
  for (const Decision& decision : verdicts.decisions) {
    if (raises(decision, kind) && decision.time >= from && decision.time <= to) return decision.time;
  }
  return std::nullopt;
}

bool within_any(const std::vector<Span>& spans, Time from, Time to) {
  return std::any_of(spans.begin(), spans.end(),
                     [&](const Span& span) { return span.from <= to && from <= span.to; });
}

// Hours by which `said` is late or (negative) early for something that became true at `time`. It cannot be
// seen before the hydrometer's next message arrives: in between is in time.
double delay_h(const SimulatedBatch& batch, Time said, Time time) {
  if (said < time) return in_hours(said - time);
  for (const DeliveredReading& row : batch.readings) {
    if (row.reading.quantity != Quantity::gravity || row.delivered < time || row.reading.time < time)
      continue;
    return std::max(0.0, in_hours(said - row.delivered));
  }
  return in_hours(said - time);
}

bool float_lives_until(const SimulatedBatch& batch, Time time) {
  if (batch.float_frozen && *batch.float_frozen < time) return false;
  return std::none_of(batch.float_silent.begin(), batch.float_silent.end(),
                      [&](const Span& span) { return span.to >= batch.truth.end() && span.from < time; });
}

void score_final(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  std::optional<Time> honest;
  for (const Decision& decision : verdicts.decisions) {
    if (!raises(decision, AlertKind::final_gravity_stable)) continue;
    const double to_go = std::max(0.0, batch.to_go(decision.time));
    score.worst_to_go = std::max(score.worst_to_go, to_go);
    const bool while_stuck =
        batch.stuck && decision.time >= batch.stuck->from && decision.time < batch.stuck->to;
    if (while_stuck || batch.never_started) score.stuck_called_final = true;
    if (!honest && to_go <= 1.0) honest = decision.time;
  }
  if (!batch.truth.finished || batch.never_started) return;
  const Time legitimate = *batch.truth.finished + batch.spec.final_gravity.window;
  const bool forever_stuck = batch.stuck && batch.stuck->to >= batch.truth.end();
  if (forever_stuck || legitimate + days(10) > batch.truth.end() || !float_lives_until(batch, legitimate))
    return;
  if (honest) score.final_delay_h = delay_h(batch, *honest, legitimate);
  score.final_missed = !honest || *honest > legitimate + days(10);
}

void score_stuck(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  Time from = batch.truth.end() + days(9999);
  Time to = from;
  if (batch.stuck) {
    from = batch.stuck->from - hours(12);
    to = batch.stuck->to;
    score.has_stuck = true;
    if (const auto said = first_raise(verdicts, AlertKind::stuck, from, to)) {
      score.stuck_delay_h = delay_h(batch, *said, batch.stuck->from);
    }
  }
  for (const Decision& decision : verdicts.decisions) {
    if (!raises(decision, AlertKind::stuck) || batch.never_started) continue;
    if (decision.time < from || decision.time > to) ++score.false_stuck;
  }
}

void score_steps(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  if (batch.spec.plan.empty() || !std::holds_alternative<UntilProgress>(batch.spec.plan[0].until)) return;
  std::optional<Time> said;
  for (const Decision& decision : verdicts.decisions) {
    if (raises(decision, AlertKind::step_due) && decision.step == 1 && !said) said = decision.time;
  }
  const auto& due = batch.truth.hold_over[0];
  if (!due) {
    score.step_early_without_reason = said.has_value();
    return;
  }
  if (!float_lives_until(batch, *due)) return;
  if (said) score.step_error_h = delay_h(batch, *said, *due);
  score.step_missed = !said && *due + days(2) < batch.truth.end();

  const Time ahead = *due - hours(24);
  if (ahead < batch.first_gravity + hours(6)) return;
  const Forecast* made = nullptr;
  for (const Forecast& forecast : verdicts.forecasts) {
    if (forecast.time <= ahead) made = &forecast;
  }
  if (made != nullptr && made->step == 1 && made->step_time) {
    score.step_forecast_error_h = in_hours(made->step_time->value - *due);
  } else {
    score.step_forecast_absent = true;
  }
}

void score_start(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  const Truth& truth = batch.truth;
  const auto said =
      first_raise(verdicts, AlertKind::fermentation_started, truth.pitched - days(1), truth.end());
  if (said && truth.original_gravity - truth.gravity_at(*said) < 0.0003) score.start_false = true;
  if (!truth.started) return;
  const Time visible = std::max(*truth.started, batch.first_gravity);
  if (!float_lives_until(batch, visible + hours(24))) return;
  if (said) score.start_delay_h = delay_h(batch, *said, visible);
  score.start_missed = !said || *score.start_delay_h > 24.0;
}

IntervalScore against(const Interval& interval, double truth, double scale) {
  const double error = (interval.value - truth) * scale;
  const double half = (error > 0 ? interval.value - interval.low : interval.high - interval.value) * scale;
  return IntervalScore{error, (interval.high - interval.low) * scale,
                       interval.low <= truth && truth <= interval.high,
                       std::fabs(error) / std::max(half, 1e-6)};
}
IntervalScore against(const TimeInterval& interval, Time truth) {  // hours
  return against(
      Interval{0, in_hours(interval.low - interval.value), in_hours(interval.high - interval.value)},
      in_hours(truth - interval.value), 1);
}

void score_forecasts(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  const Truth& truth = batch.truth;
  if (!truth.started || !truth.finished || truth.hold_over.empty()) return;
  for (std::size_t i = 0; i < kShares.size(); ++i) {
    const auto reached = batch.when_fallen(kShares[i]);
    if (!reached || !float_lives_until(batch, *reached)) continue;
    score.forecast_due[i] = true;
    for (const Forecast& forecast : verdicts.forecasts) {
      if (forecast.time < *reached) continue;
      if (forecast.final_gravity) {
        score.final_gravity[i] = against(*forecast.final_gravity, truth.final_gravity, 1000.0);
      }
      if (forecast.final_time) {
        score.final_time[i] = against(*forecast.final_time, *truth.finished);
      }
      const auto& over = truth.hold_over.front();
      if (forecast.step == 1 && forecast.step_time && over && forecast.time < *over) {
        score.step_time[i] = against(*forecast.step_time, *over);
      }
      break;
    }
  }
}

template <class TruthAt>
CurveScore score_curve(const SimulatedBatch& batch, const Verdicts& verdicts, TruthAt truth_at) {
  CurveScore score;
  for (const CurvePoint& point : verdicts.curve) {
    if (point.time < batch.truth.pitched || point.time > batch.truth.end()) continue;
    if (batch.float_frozen && point.time >= *batch.float_frozen) continue;
    const double truth = truth_at(point.time);
    const double error = (point.gravity.value - truth) * 1000.0;
    const double raw = (point.gravity_raw - truth) * 1000.0;
    score.rms_points += error * error;
    score.raw_rms_points += raw * raw;
    score.mae_points += std::fabs(error);
    score.raw_mae_points += std::fabs(raw);
    score.covered += point.gravity.low <= truth && truth <= point.gravity.high ? 1.0 : 0.0;
    score.width_points += (point.gravity.high - point.gravity.low) * 1000.0;
    ++score.points;
  }
  if (score.points == 0) return score;
  const auto n = static_cast<double>(score.points);
  score.rms_points = std::sqrt(score.rms_points / n);
  score.raw_rms_points = std::sqrt(score.raw_rms_points / n);
  score.mae_points /= n;
  score.raw_mae_points /= n;
  score.covered /= n;
  score.width_points /= n;
  return score;
}

std::optional<double> score_at_use(const SimulatedBatch& batch, const Verdicts& verdicts) {
  Random random(batch.seed);
  const Time begin = batch.first_gravity + hours(24);
  if (begin >= batch.truth.end()) return std::nullopt;
  const Time cut = begin + from_hours(random.uniform() * in_hours(batch.truth.end() - begin));
  double n = 0, curve = 0, curve_square = 0, raw = 0, raw_square = 0;
  for (const CurvePoint& point : verdicts.curve) {
    if (point.time < cut - hours(24) || point.time > cut) continue;
    if (batch.float_frozen && point.time >= *batch.float_frozen) continue;
    const double truth = batch.truth.gravity_at(point.time);
    const double error = (point.gravity.value - truth) * 1000.0;
    const double raw_error = (point.gravity_raw - truth) * 1000.0;
    n += 1;
    curve += error;
    curve_square += error * error;
    raw += raw_error;
    raw_square += raw_error * raw_error;
  }
  if (n < 8) return std::nullopt;
  const double raw_var = raw_square / n - raw * raw / n / n;
  const double curve_var = curve_square / n - curve * curve / n / n;
  if (raw_var < 1e-6) return std::nullopt;
  return std::sqrt(std::max(0.0, curve_var) / raw_var);
}

// At the first word after 75 % of the fall, against the moment at which the end was said.
void score_ready(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  const auto from = batch.when_fallen(0.75);
  if (!from || !batch.truth.finished) return;
  const auto said =
      first_raise(verdicts, AlertKind::final_gravity_stable, batch.truth.pitched, batch.truth.end());
  if (!said || batch.to_go(*said) > 1.0) return;
  for (const auto& [time, interval] : verdicts.ready) {
    if (time < *from || time > *said) continue;
    score.ready_time = against(interval, *said);
    return;
  }
}

// When the newest reading of a sensor was taken that had been delivered by `time`; the pitch if there was
// none. Stragglers from before an outage do not end it.
Time last_heard(const SimulatedBatch& batch, const std::string& sensor, Time time) {
  Time last = batch.truth.pitched;
  for (const DeliveredReading& row : batch.readings) {
    if (row.delivered > time) break;
    if (row.reading.sensor == sensor) last = std::max(last, std::min(row.reading.time, row.delivered));
  }
  return last;
}

void score_sensors(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  const Truth& truth = batch.truth;
  if (batch.float_frozen && *batch.float_frozen + hours(48) <= truth.end()) {
    score.frozen_found =
        first_raise(verdicts, AlertKind::sensor_frozen, *batch.float_frozen, *batch.float_frozen + hours(48))
            .has_value();
  }
  const Duration interval = batch.hydrometer.radio.interval;
  if (!batch.float_silent.empty()) {
    const Span& span = batch.float_silent.front();
    // Without another sensor that goes on, nothing tells the core that time passes.
    const Time heard = last_heard(batch, "probe", span.from + hours(24));
    if (heard > span.from + hours(23)) {
      std::optional<Time> said;
      for (const Decision& d : verdicts.decisions) {
        if (raises(d, AlertKind::sensor_silent) && d.sensor == "hydrometer" && d.time >= span.from &&
            d.time <= span.to && !said) {
          said = d.time;
        }
      }
      if (said) score.silent_delay_h = in_hours(*said - span.from);
      score.silent_found = said && *said <= span.from + hours(24);
      const Duration quick = std::max<Duration>(3 * interval, hours(2));
      score.silent_found_quickly = said && *said <= span.from + quick + minutes(15);
    }
  }
  for (const Decision& decision : verdicts.decisions) {
    if (decision.state != Decision::State::raised) continue;
    switch (decision.kind) {
      case AlertKind::sensor_frozen:
        if (decision.sensor != "hydrometer" || !batch.float_frozen || decision.time < *batch.float_frozen)
          ++score.false_frozen;
        break;
      case AlertKind::sensor_silent: {
        // While its clock is wrong a hydrometer is heard but says nothing that can be used: either word is
        // right.
        const auto& reset = batch.hydrometer.radio.clock_reset;
        const double hour = in_hours(decision.time - truth.pitched);
        if (reset && hour >= reset->at_h && hour < reset->at_h + reset->lasts_h + 1.0) break;
        const Duration quiet = decision.time - last_heard(batch, decision.sensor, decision.time);
        if (quiet < std::min<Duration>(2 * interval, hours(2))) ++score.false_silent;
        break;
      }
      case AlertKind::temperature_out_of_range: {
        bool outside = false;
        for (Time time = decision.time - hours(6); time <= decision.time; time += truth.grid) {
          const double celsius = truth.beer_at(time);
          outside = outside || celsius < batch.spec.yeast.temperature_low.value ||
                    celsius > batch.spec.yeast.temperature_high.value;
        }
        for (std::size_t hold = 0; hold < batch.spec.plan.size(); ++hold) {
          const double planned = batch.spec.plan[hold].temperature.value;
          const bool wanted = truth.set_to[hold] && decision.time >= *truth.set_to[hold] &&
                              (planned < batch.spec.yeast.temperature_low.value ||
                               planned > batch.spec.yeast.temperature_high.value);
          if (wanted) outside = false;
        }
        if (!outside) ++score.false_range;
        break;
      }
      case AlertKind::sensor_implausible:
        if (batch.kind != "probe-errors" && batch.kind != "clock-reset") ++score.false_implausible;
        break;
      default:
        break;
    }
  }
  if (!batch.out_of_range.empty()) {
    const Span& span = batch.out_of_range.front();
    const Time until = span.from + hours(12);
    if (!within_any(batch.float_silent, span.from, until) && until <= truth.end()) {
      // A beer that was out of range shortly before may have been reported then.
      score.range_found =
          first_raise(verdicts, AlertKind::temperature_out_of_range, span.from - hours(24), until)
              .has_value();
    }
  }
}

void score_beer(const SimulatedBatch& batch, const Verdicts& verdicts, Score& score) {
  const Truth& truth = batch.truth;
  const double extract = truth.original_gravity - 1.0;
  for (const Decision& decision : verdicts.decisions) {
    if (decision.state != Decision::State::raised) continue;
    if (decision.kind == AlertKind::over_attenuated) {
      const double attenuation = (truth.original_gravity - truth.gravity_at(decision.time)) / extract;
      if (attenuation <= batch.spec.yeast.attenuation_high + 0.005) score.over_false = true;
    }
    if (decision.kind == AlertKind::step_not_held) {
      const auto next = static_cast<std::size_t>(decision.step.value_or(0));
      const bool held =
          next >= truth.set_to.size() ||
          std::fabs(truth.beer_at(decision.time) - batch.spec.plan[next].temperature.value) < 1.0;
      const bool due = next >= 1 && next <= truth.hold_over.size() && truth.hold_over[next - 1] &&
                       *truth.hold_over[next - 1] <= decision.time;
      if (held || !due) ++score.false_not_held;
    }
    if (decision.kind == AlertKind::slow_start) {
      if ((truth.started && decision.time > *truth.started) || decision.time < truth.pitched + hours(12)) {
        score.slow_start_false = true;
      }
    }
  }
  if (batch.over_attenuated && *batch.over_attenuated + days(5) <= truth.end() &&
      float_lives_until(batch, *batch.over_attenuated + days(5))) {
    score.over_found =
        first_raise(verdicts, AlertKind::over_attenuated, truth.pitched, *batch.over_attenuated + days(5))
            .has_value();
  }
  if (batch.step_ignored && float_lives_until(batch, *truth.hold_over[0] + days(3)) &&
      *truth.hold_over[0] + days(3) <= truth.end()) {
    score.not_held_found =
        first_raise(verdicts, AlertKind::step_not_held, *truth.hold_over[0], *truth.hold_over[0] + days(3))
            .has_value();
  }
  const Time patience = truth.pitched + hours(96);
  if ((!truth.started || *truth.started > truth.pitched + hours(72)) && patience <= truth.end()) {
    score.slow_start_said = first_raise(verdicts, AlertKind::slow_start, truth.pitched, patience).has_value();
  }
}

}  // namespace

Verdicts judge(const SimulatedBatch& batch) {
  Verdicts verdicts{};
  Tracker tracker(batch.spec);
  const auto begin = std::chrono::steady_clock::now();
  for (const DeliveredReading& row : batch.readings) {
    Outcome outcome = tracker.advance(row.reading);
    verdicts.decisions.insert(verdicts.decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
    verdicts.curve.insert(verdicts.curve.end(), outcome.curve.begin(), outcome.curve.end());
    if (!outcome.forecasts.empty()) {
      if (const auto ready = tracker.outlook({}).ready_time) {
        verdicts.ready.emplace_back(outcome.forecasts.back().time, *ready);
      }
    }
    verdicts.forecasts.insert(verdicts.forecasts.end(), outcome.forecasts.begin(), outcome.forecasts.end());
  }
  const std::chrono::duration<double, std::micro> took = std::chrono::steady_clock::now() - begin;
  verdicts.microseconds_per_reading =
      took.count() / static_cast<double>(std::max<std::size_t>(1, batch.readings.size()));
  return verdicts;
}

Score score(const SimulatedBatch& batch, const Verdicts& verdicts) {
  Score score;
  score_final(batch, verdicts, score);
  score_stuck(batch, verdicts, score);
  score_steps(batch, verdicts, score);
  score_start(batch, verdicts, score);
  score_forecasts(batch, verdicts, score);
  score.as_shown =
      score_curve(batch, verdicts, [&](Time t) { return shown_gravity(batch.hydrometer, batch.truth, t); });
  score.as_true = score_curve(batch, verdicts, [&](Time t) { return batch.truth.gravity_at(t); });
  score.at_use = score_at_use(batch, verdicts);
  score_ready(batch, verdicts, score);
  score_sensors(batch, verdicts, score);
  score_beer(batch, verdicts, score);
  for (const Decision& decision : verdicts.decisions) {
    const bool counts =
        decision.state == Decision::State::raised && decision.kind != AlertKind::sensor_silent;
    score.raised += counts ? 1 : 0;
  }
  score.raised += score.false_silent;
  score.needed = 2;
  for (std::size_t hold = 0; hold < batch.spec.plan.size(); ++hold) {
    const bool last = hold + 1 == batch.spec.plan.size();
    const bool until_final = std::holds_alternative<UntilFinalGravity>(batch.spec.plan[hold].until);
    if (batch.truth.hold_over[hold] && !(last && until_final)) ++score.needed;
  }
  score.microseconds_per_reading = verdicts.microseconds_per_reading;
  return score;
}

}  // namespace gyle::simulation
