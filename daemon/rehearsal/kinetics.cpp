#include "rehearsal/kinetics.h"

#include <algorithm>
#include <cmath>

namespace gyle {

void SigmoidKinetics::advance(double hours, double celsius) {
  thermal_h_ += hours * std::pow(shape_.q10, (celsius - shape_.reference_celsius) / 10.0);
}

double SigmoidKinetics::remaining(double midpoint_h, double steepness_per_h) const {
  const double s = shape_.asymmetry;
  const auto logistic = [&](double t) {
    return std::pow(1.0 + s * std::exp(std::min(700.0, steepness_per_h * (t - midpoint_h))), -1.0 / s);
  };
  return logistic(thermal_h_) / logistic(0.0);
}

double SigmoidKinetics::fallen() const {
  const double quick = remaining(shape_.midpoint_h, shape_.steepness_per_h);
  if (shape_.slow_share <= 0.0) return 1.0 - quick;
  const double slow = remaining(shape_.midpoint_h * 1.3, shape_.steepness_per_h / shape_.slow_factor);
  return 1.0 - (1.0 - shape_.slow_share) * quick - shape_.slow_share * slow;
}

void HaltingKinetics::advance(double hours, double celsius) {
  if (halt_.gives_up_at && !resumed_ && inner_->fallen() >= *halt_.gives_up_at) stopped_ = true;
  if (halt_.too_cold_below && celsius < *halt_.too_cold_below) stopped_ = true;
  const bool warm_again = halt_.too_cold_below && celsius > halt_.wakes_above;
  const bool warm_enough_after_giving_up =
      halt_.gives_up_wakes_above && celsius > *halt_.gives_up_wakes_above;
  if (stopped_ && (warm_again || warm_enough_after_giving_up)) {
    stopped_ = false;
    resumed_ = true;
  }
  const double target = stopped_ ? 0.0 : 1.0;
  activity_ += (target - activity_) * -std::expm1(-hours / halt_.settling_h);
  if (activity_ > 1e-4) inner_->advance(hours * activity_, celsius);
}

void LaggingKinetics::advance(double hours, double celsius) {
  waited_h_ += hours * std::pow(2.0, (celsius - 20.0) / 10.0);
  const double over = waited_h_ - lag_h_;
  if (over <= 0.0) return;
  const double activity = -std::expm1(-over / (1.0 + 0.25 * lag_h_));
  inner_->advance(hours * activity, celsius);
}

void CreepingKinetics::advance(double hours, double celsius) {
  inner_->advance(hours, celsius);
  if (inner_->fallen() < 0.9) return;
  const double warmth = std::pow(2.0, (celsius - 20.0) / 10.0);
  crept_ = extra_ - (extra_ - crept_) * std::exp(-per_day_ / extra_ * warmth * hours / 24.0);
}

}  // namespace gyle
