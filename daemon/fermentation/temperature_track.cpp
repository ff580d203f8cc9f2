#include "fermentation/temperature_track.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

constexpr double kProbeLostH = 3;  // then another probe takes over
constexpr double kJump = 4;        // degC between readings that needs confirming
constexpr double kSmoothingH = 0.7;
constexpr double kKnotEveryH = 1;
constexpr std::size_t kPastHours = 26;
constexpr double kComparedH = 3;  // memory of the difference of two probes

}  // namespace

bool TemperatureTrack::plausible(Celsius celsius) {
  return std::isfinite(celsius.value) && celsius.value > -15 && celsius.value < 60;
}

bool TemperatureTrack::offer(double time_h, Celsius celsius, std::size_t probe) {
  if (probe_ && probe_ != probe && smooth_) compare(time_h, celsius, probe);
  if (last_h_ && time_h <= *last_h_) return false;  // late, or delivered twice
  if (probe_ != probe) {
    if (probe_ && last_h_ && time_h - *last_h_ < kProbeLostH) return false;
    probe_ = probe;
    unused_.clear();
  }
  const double gap_h = last_h_ ? time_h - *last_h_ : 0;
  if (smooth_ && std::abs((celsius - *smooth_).value) > kJump + 2 * gap_h) {
    const bool confirmed =
        doubted_ && time_h > doubted_->time_h && std::abs((doubted_->celsius - celsius).value) < kJump / 2;
    if (!doubted_ || time_h > doubted_->time_h) doubted_ = Past{time_h, celsius};
    if (!confirmed) return false;
    smooth_ = celsius;
  }
  doubted_.reset();
  last_h_ = time_h;
  if (!smooth_) smooth_ = celsius;
  smooth_->value += (1 - std::exp(-std::max(gap_h, 1.0 / 60) / kSmoothingH)) * (celsius - *smooth_).value;
  if (past_.empty() || time_h - past_.back().time_h >= 1) {
    past_.push_back({time_h, *smooth_});
    if (past_.size() > kPastHours) past_.pop_front();
    const bool up = warmer_.add(smooth_->value);
    const bool down = colder_.add(-smooth_->value);
    if (up || down) {
      change_ = Change{time_h, Celsius{warmer_.mean()}};
      warmer_.restart();
      colder_.restart();
    }
  }
  return true;
}

void TemperatureTrack::compare(double time_h, Celsius celsius, std::size_t probe) {
  const CelsiusDelta by = celsius - *smooth_;
  const auto known =
      std::find_if(unused_.begin(), unused_.end(), [&](const Unused& one) { return one.probe == probe; });
  if (known == unused_.end()) {
    unused_.push_back({probe, time_h, time_h, by});
  } else if (time_h > known->last_h) {
    known->by.value += (1 - std::exp(-(time_h - known->last_h) / kComparedH)) * (by.value - known->by.value);
    known->last_h = time_h;
  }
}

std::optional<TemperatureTrack::Other> TemperatureTrack::disagreement() const {
  std::optional<Other> most;
  for (const Unused& one : unused_) {
    if (one.last_h - one.first_h < kComparedH || *last_h_ - one.last_h > kProbeLostH) continue;
    if (!most || std::abs(one.by.value) > std::abs(most->by.value)) most = Other{one.probe, one.by};
  }
  return most;
}

std::optional<CelsiusDelta> TemperatureTrack::change_over(double hours) const {
  for (auto past = past_.rbegin(); past != past_.rend(); ++past) {
    if (*last_h_ - past->time_h >= hours) return *smooth_ - past->celsius;
  }
  return std::nullopt;
}

double ThermalTime::speed(Celsius celsius) { return std::pow(kQ10, (celsius - kReference).value / 10); }

void ThermalTime::advance(double time_h, Celsius celsius) {
  if (time_h <= time_h_) return;
  if (knots_.empty()) knots_.push_back({time_h_, thermal_h_});
  thermal_h_ += (time_h - time_h_) * speed(celsius);
  time_h_ = time_h;
  if (time_h_ - knots_.back().time_h >= kKnotEveryH) knots_.push_back({time_h_, thermal_h_});
}

double ThermalTime::at(double time_h) const {
  if (time_h >= time_h_ || knots_.empty()) return thermal_h_;
  const auto after = std::upper_bound(knots_.begin(), knots_.end(), time_h,
                                      [](double t, const Knot& knot) { return t < knot.time_h; });
  if (after == knots_.begin()) return knots_.front().thermal_h;
  const Knot a = *(after - 1);
  const Knot b = after == knots_.end() ? Knot{time_h_, thermal_h_} : *after;
  if (b.time_h <= a.time_h) return b.thermal_h;
  return a.thermal_h + (b.thermal_h - a.thermal_h) * (time_h - a.time_h) / (b.time_h - a.time_h);
}

double ThermalTime::when(double thermal_h) const {
  if (thermal_h >= thermal_h_ || knots_.empty()) return time_h_;
  const auto after = std::upper_bound(knots_.begin(), knots_.end(), thermal_h,
                                      [](double u, const Knot& knot) { return u < knot.thermal_h; });
  if (after == knots_.begin()) return knots_.front().time_h;
  const Knot a = *(after - 1);
  const Knot b = after == knots_.end() ? Knot{time_h_, thermal_h_} : *after;
  if (b.thermal_h <= a.thermal_h) return b.time_h;
  return a.time_h + (b.time_h - a.time_h) * (thermal_h - a.thermal_h) / (b.thermal_h - a.thermal_h);
}

}  // namespace gyle
