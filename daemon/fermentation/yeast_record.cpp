#include "fermentation/yeast_record.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "fermentation/temperature_track.h"
#include "series/robust_statistics.h"
#include "series/student_t.h"

namespace gyle {
namespace {

constexpr Duration kLongestHeld = hours(2);  // a temperature holds for so long without a new one

std::optional<double> average_celsius(std::span<const CurvePoint> curve, Time until) {
  double sum = 0, total = 0;
  for (std::size_t i = 0; i < curve.size() && curve[i].time <= until; ++i) {
    const auto celsius = curve[i].temperature;
    if (!celsius || !std::isfinite(celsius->value)) continue;
    const Duration held = i + 1 < curve.size() ? curve[i + 1].time - curve[i].time : minutes(1);
    const double weight = in_seconds(std::clamp<Duration>(held, seconds(1), kLongestHeld));
    sum += weight * celsius->value;
    total += weight;
  }
  return total > 0 ? std::optional(sum / total) : std::nullopt;
}

double square(double x) { return x * x; }

// Thermal hours from the pitch to the first point that is half way down; before the first temperature the beer
// counts as warm as there. Absent when the curve begins too late for that.
std::optional<double> hours_to_half(const BatchSpec& batch, std::span<const CurvePoint> curve,
                                    double original, double final) {
  const auto measured = std::find_if(curve.begin(), curve.end(),
                                     [](const CurvePoint& point) { return point.temperature.has_value(); });
  if (measured == curve.end()) return std::nullopt;
  const double half = (original + final) / 2;
  if (curve.front().gravity.value < original - (original - final) / 4) return std::nullopt;
  ThermalTime thermal;
  for (const CurvePoint& point : curve) {
    thermal.advance(in_hours(point.time - batch.pitched), point.temperature.value_or(*measured->temperature));
    if (point.gravity.value <= half) return thermal.now() > 0 ? std::optional(thermal.now()) : std::nullopt;
  }
  return std::nullopt;
}

}  // namespace

std::optional<YeastRun> yeast_run(const BatchSpec& batch, const BatchView& view,
                                  std::span<const Decision> decisions, std::span<const CurvePoint> curve) {
  if (!view.final_gravity_since || !view.original_gravity) return std::nullopt;
  const auto end = std::find_if(decisions.rbegin(), decisions.rend(), [](const Decision& decision) {
    return decision.kind == AlertKind::final_gravity_stable && decision.state == Decision::State::raised;
  });
  if (end == decisions.rend()) return std::nullopt;
  const auto gravity = find(end->evidence, "final_gravity_sg");
  const auto given = described_at(batch, end->time).original_gravity;
  const double original = given ? given->value() : *view.original_gravity;
  if (!gravity || !(*gravity < original) || !(original > 1)) return std::nullopt;
  const auto window = find(end->evidence, "window_hours");
  const Time rest = end->time - (window ? from_hours(*window) : batch.final_gravity.window);
  // Of the wort alone: sugar that was added has fallen by more than it raised.
  double sugar = 0, sugar_fall = 0, volume_l = batch.volume_l.value_or(0);
  for (const Addition& one : batch.additions) {
    if (one.time > end->time || !batch.volume_l) continue;
    const AdditionEffect effect = effect_of(one, volume_l);
    sugar = effect.keep * sugar + effect.points / 1000;
    sugar_fall = effect.keep * sugar_fall + effect.sugar_fall / 1000;
    volume_l = effect.volume_l;
  }
  const bool sugared = sugar > 0;
  YeastRun run{original, *gravity, (original - *gravity - sugar_fall) / (original - 1 - sugar), {}, 0,
               {},       {}};
  if (view.started) run.lag_days = in_days(*view.started - batch.pitched);
  run.final_days = std::max(0.0, in_days(rest - batch.pitched));
  run.celsius = average_celsius(curve, rest);
  if (!sugared) run.half_hours = hours_to_half(batch, curve, original, *gravity);
  return run;
}

std::vector<YeastRun> YeastHistory::runs() const {
  std::vector<YeastRun> all;
  for (const Batch& batch : batches) all.push_back(batch.run);
  return all;
}

Spread spread_of(std::span<const double> values) {
  Spread spread;
  spread.count = values.size();
  if (values.empty()) return spread;
  spread.median = median(values);
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  spread.low = *low;
  spread.high = *high;
  if (values.size() > 1) {
    const auto n = static_cast<double>(values.size());
    const double mean = std::accumulate(values.begin(), values.end(), 0.0) / n;
    double squares = 0;
    for (const double value : values) squares += square(value - mean);
    spread.deviation = std::sqrt(squares / (n - 1));
  }
  return spread;
}

YeastSummary summary_of(std::span<const YeastRun> runs) {
  std::vector<double> attenuations, lags, ends, temperatures;
  for (const YeastRun& run : runs) {
    attenuations.push_back(run.attenuation);
    if (run.lag_days) lags.push_back(*run.lag_days);
    ends.push_back(run.final_days);
    if (run.celsius) temperatures.push_back(*run.celsius);
  }
  return {spread_of(attenuations), spread_of(lags), spread_of(ends), spread_of(temperatures)};
}

std::vector<YeastAtTemperature> by_temperature(std::span<const YeastRun> runs) {
  constexpr double kBand = 2;  // degC
  std::map<double, std::vector<YeastRun>> bands;
  for (const YeastRun& run : runs) {
    if (run.celsius) bands[kBand * std::floor(*run.celsius / kBand)].push_back(run);
  }
  std::vector<YeastAtTemperature> result;
  for (const auto& [low, within] : bands) {
    result.push_back({Celsius{low}, Celsius{low + kBand}, summary_of(within)});
  }
  return result;
}

namespace {

// The prediction interval of the next value, as the header has it; `middle`, `half`: without any.
std::pair<double, double> next_value(std::span<const double> values, double middle, double half) {
  constexpr double kMeanWeight = 1.0 / 3, kScatterWeight = 4, kHigh = 0.9;
  const double scatter0 = half / (student_t_quantile(kHigh, kScatterWeight) * std::sqrt(1 + 1 / kMeanWeight));
  const auto n = static_cast<double>(values.size());
  if (values.empty()) return {middle - half, middle + half};
  const double average = std::accumulate(values.begin(), values.end(), 0.0) / n;
  double squares = 0;
  for (const double value : values) squares += square(value - average);
  const double k = kMeanWeight + n, v = kScatterWeight + n;
  const double mean = (kMeanWeight * middle + n * average) / k;
  const double scatter = std::sqrt(
      (kScatterWeight * square(scatter0) + squares + kMeanWeight * n / k * square(average - middle)) / v);
  const double width = student_t_quantile(kHigh, v) * scatter * std::sqrt(1 + 1 / k);
  return {mean - width, mean + width};
}

}  // namespace

AttenuationBand expected_band(std::span<const double> attenuations) {
  const Yeast usual;
  if (attenuations.empty()) return {usual.attenuation_low, usual.attenuation_high};
  const double middle = usual.expected_attenuation();
  const auto [low, high] = next_value(attenuations, middle, usual.attenuation_high - middle);
  return {std::clamp(low, 0.05, 1.09), std::clamp(high, 0.05, 1.09)};
}

HalfTime expected_half_time(std::span<const double> half_hours) {
  // Of most beers: 45 hours, or half or twice as much. Common practice, no source.
  constexpr double kUsualHours = 45, kUsualFactor = 2;
  std::vector<double> logs;
  for (const double half : half_hours) logs.push_back(std::log(half));
  const auto [low, high] = next_value(logs, std::log(kUsualHours), std::log(kUsualFactor));
  return {std::exp(low), std::exp(high)};
}

AttenuationBand expected_band(const YeastHistory& history) {
  std::vector<double> attenuations;
  for (const YeastHistory::Batch& batch : history.batches) attenuations.push_back(batch.run.attenuation);
  return expected_band(attenuations);
}

}  // namespace gyle
