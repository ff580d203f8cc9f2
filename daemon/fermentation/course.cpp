#include "fermentation/course.h"

#include <algorithm>
#include <cmath>

#include "series/least_squares.h"
#include "series/robust_statistics.h"
#include "series/student_t.h"

namespace gyle {
namespace {

using P = CourseParameters;
constexpr std::size_t N = P::kCount;

constexpr double kLogisticWidth = 4.394449154672439;  // ln 81: from 10 to 90 % of a logistic with k = 1
constexpr double kTailSlowness = 5;
constexpr double kMostTail = 0.5;
constexpr std::size_t kDrawsPerShape = 24;

// How far real beer strays from any of these forms, points, and how long it stays astray.
constexpr double kStraySd = 0.35;       // at full activity
constexpr double kStrayQuietSd = 0.06;  // when nothing moves
constexpr double kStrayH = 10;

struct Normal {
  double mean;
  double sd;
};
constexpr Normal kLogWidth{3.9, 0.6};
constexpr Normal kLogMiddle{3.7, 0.6};
constexpr double kWarmthSlopeSd = 0.12;
constexpr double kOffsetSd = 2.5;
constexpr double kBandShare = 0.65;  // standard deviation of final gravities, by half the band
constexpr double kBandLeastSd = 0.4;
constexpr double kOriginalSd = 0.25;
constexpr double kSampleSd = 0.5;

Normal shape_prior(CourseShape shape) {
  switch (shape) {
    case CourseShape::richards:
      return {-0.6, 0.8};
    case CourseShape::mirrored:
      return {0.0, 0.6};
    case CourseShape::with_tail:
      return {-1.2, 1.0};
  }
  return {0, 1};
}

// Points for the fit: recent hours one by one, older ones merged.
std::vector<HourMean> thinned(std::span<const HourMean> hours, double now_h) {
  std::vector<HourMean> points;
  points.reserve(160);
  double bin = -1;
  for (const HourMean& hour : hours) {
    if (hour.suspect) continue;
    const double age_h = now_h - hour.time_h;
    const double span = age_h < 24 ? 1.0 : age_h < 240 ? 3.0 : 12.0;
    const double at = std::floor(hour.time_h / span) + 1e6 * span;
    if (at == bin && !points.empty()) {
      HourMean& last = points.back();
      const double part = hour.readings / (last.readings + hour.readings);
      last.time_h += part * (hour.time_h - last.time_h);
      last.thermal_h += part * (hour.thermal_h - last.thermal_h);
      last.points += part * (hour.points - last.points);
      last.warmth += part * (hour.warmth - last.warmth);
      last.readings += hour.readings;
      last.span_h += hour.span_h;
    } else {
      points.push_back(hour);
      bin = at;
    }
  }
  return points;
}

// Low-discrepancy unit normals: the additive recurrence on the generalised golden ratio.
std::array<double, N> unit_normals(std::size_t i) {
  constexpr double kGolden = 1.0969815577985598;  // root of x^(N+1) = x + 1 for N = 7
  std::array<double, N> z{};
  double step = 1;
  for (std::size_t d = 0; d < N; ++d) {
    step /= kGolden;
    double whole;
    const double p = std::modf(0.5 + static_cast<double>(i + 1) * step, &whole);
    z[d] = normal_quantile(std::clamp(p, 0.004, 0.996));
  }
  return z;
}

}  // namespace

CourseCurve::CourseCurve(CourseShape shape, double log_width, double log_middle, double shape_parameter)
    : shape_(shape),
      k_(kLogisticWidth / std::exp(std::clamp(log_width, 0.5, 8.0))),
      middle_(std::exp(std::clamp(log_middle, -2.0, 8.0))),
      s_(shape == CourseShape::with_tail
             ? kMostTail / (1 + std::exp(-std::clamp(shape_parameter, -12.0, 12.0)))
             : std::exp(std::clamp(shape_parameter, -4.0, 3.0))),
      at_pitch_(0) {
  at_pitch_ = std::min(raw(0), 0.95);
}

double CourseCurve::raw(double thermal_h) const {
  const double x = k_ * (thermal_h - middle_);
  switch (shape_) {
    case CourseShape::richards:
      return std::exp(-std::log1p(s_ * std::exp(std::clamp(-x, -60.0, 60.0))) / s_);
    case CourseShape::mirrored:
      return 1 - std::exp(-std::log1p(s_ * std::exp(std::clamp(x, -60.0, 60.0))) / s_);
    case CourseShape::with_tail: {
      const double slow = (x - 2.0) / kTailSlowness - 0.5;
      return (1 - s_) / (1 + std::exp(std::clamp(-x, -60.0, 60.0))) +
             s_ / (1 + std::exp(std::clamp(-slow * 2, -60.0, 60.0)));
    }
  }
  return 0;
}

double CourseCurve::done(double thermal_h) const {
  return std::max(0.0, (raw(thermal_h) - at_pitch_) / (1 - at_pitch_));
}

double CourseCurve::when(double done_wanted) const {
  if (done_wanted <= 0) return 0;
  double low = 0, high = middle_ + 10 / k_;
  while (done(high) < done_wanted) {
    low = high;
    high *= 2;
    if (high > kNever) return kNever;
  }
  for (int i = 0; i < 30 && high - low > 0.02; ++i) {
    const double middle = (low + high) / 2;
    (done(middle) < done_wanted ? low : high) = middle;
  }
  return (low + high) / 2;
}

void CourseFit::refit(std::span<const HourMean> hours, double now_h, const FloatNoise& noise,
                      const CoursePrior& prior, std::span<const HandSample> samples) {
  const std::vector<HourMean> points = thinned(hours, now_h);
  draws_.clear();
  if (points.empty()) return;
  const double first = points.front().points;
  // How active the beer was at each point, by the fit before this one.
  std::vector<double> activity(points.size(), 1.0);
  {
    const auto best_before =
        static_cast<std::size_t>(std::max_element(weights_.begin(), weights_.end()) - weights_.begin());
    if (last_[best_before]) {
      const P::Vector& p = *last_[best_before];
      const CourseCurve curve(static_cast<CourseShape>(best_before), p[P::kLogWidth], p[P::kLogMiddle],
                              p[P::kShape]);
      for (std::size_t i = 0; i < points.size(); ++i) {
        const double done = std::min(1.0, curve.done(points[i].thermal_h));
        activity[i] = 4 * done * (1 - done);
      }
    }
  }
  std::array<double, kCourseShapes> evidence{};
  std::array<std::optional<LeastSquaresFit<N>>, kCourseShapes> fits;

  for (std::size_t which = 0; which < kCourseShapes; ++which) {
    const auto shape = static_cast<CourseShape>(which);
    const Normal shape_normal = shape_prior(shape);
    const auto evaluate = [&](const P::Vector& p) {
      NormalEquations<N> sums;
      const auto prior_term = [&](std::size_t i, double mean, double sd) {
        P::Vector slope{};
        slope[i] = 1 / sd;
        sums.add((p[i] - mean) / sd, slope, 1);
      };
      prior_term(P::kLogWidth, kLogWidth.mean, kLogWidth.sd);
      prior_term(P::kLogMiddle, kLogMiddle.mean, kLogMiddle.sd);
      prior_term(P::kShape, shape_normal.mean, shape_normal.sd);
      prior_term(P::kWarmthSlope, 0, kWarmthSlopeSd);
      prior_term(P::kOffset, 0, kOffsetSd);
      prior_term(P::kStart, prior.original.value_or(first), prior.original ? 4.0 : 8.0);
      const double original = p[P::kStart] - p[P::kOffset];
      if (prior.original) {
        P::Vector slope{};
        slope[P::kStart] = 1 / kOriginalSd;
        slope[P::kOffset] = -1 / kOriginalSd;
        sums.add((original - *prior.original) / kOriginalSd, slope, 1);
      }
      {
        const double sd = std::hypot(prior.attenuation_half_width * original * kBandShare, kBandLeastSd);
        const double r = (p[P::kFall] - prior.attenuation_middle * original) / sd;
        P::Vector slope{};
        slope[P::kFall] = 1 / sd;
        slope[P::kStart] = -prior.attenuation_middle / sd;
        slope[P::kOffset] = prior.attenuation_middle / sd;
        sums.add(r, slope, student_weight(r, 3));
      }
      // Step sizes for the numeric derivatives of the curve itself.
      constexpr double kStep = 1e-4;
      const CourseCurve curve(shape, p[P::kLogWidth], p[P::kLogMiddle], p[P::kShape]);
      const CourseCurve wider(shape, p[P::kLogWidth] + kStep, p[P::kLogMiddle], p[P::kShape]);
      const CourseCurve later(shape, p[P::kLogWidth], p[P::kLogMiddle] + kStep, p[P::kShape]);
      const CourseCurve other(shape, p[P::kLogWidth], p[P::kLogMiddle], p[P::kShape] + kStep);
      const auto add_point = [&](double thermal_h, double warmth, bool true_frame, double value, double var) {
        const double done = curve.done(thermal_h);
        const double expected = p[P::kStart] - p[P::kFall] * done + p[P::kWarmthSlope] * warmth -
                                (true_frame ? p[P::kOffset] : 0.0);
        const double sd = std::sqrt(var);
        const double r = (expected - value) / sd;
        P::Vector slope{};
        slope[P::kStart] = 1 / sd;
        slope[P::kFall] = -done / sd;
        slope[P::kLogWidth] = -p[P::kFall] * (wider.done(thermal_h) - done) / kStep / sd;
        slope[P::kLogMiddle] = -p[P::kFall] * (later.done(thermal_h) - done) / kStep / sd;
        slope[P::kShape] = -p[P::kFall] * (other.done(thermal_h) - done) / kStep / sd;
        slope[P::kWarmthSlope] = warmth / sd;
        if (true_frame) slope[P::kOffset] = -1 / sd;
        sums.add(r, slope, student_weight(r, 5));
      };
      for (std::size_t i = 0; i < points.size(); ++i) {
        const HourMean& point = points[i];
        const double stray = kStrayQuietSd + (kStraySd - kStrayQuietSd) * activity[i];
        add_point(point.thermal_h, point.warmth, false, point.points,
                  noise.of_hour(point) + stray * stray * kStrayH / std::max(1.0, point.span_h));
      }
      for (const HandSample& sample : samples) {
        add_point(sample.thermal_h, 0, true, sample.points, kSampleSd * kSampleSd);
      }
      sums.mirror();
      return sums;
    };

    P::Vector start{};
    const double original = prior.original.value_or(first);
    start = {first,
             prior.attenuation_middle * original,
             kLogWidth.mean,
             kLogMiddle.mean,
             shape_normal.mean,
             0,
             prior.original ? first - *prior.original : 0.0};
    const bool fresh = !last_[which].has_value();
    auto fit = least_squares<N>(last_[which].value_or(start), evaluate, fresh ? 30 : 8, 1e-4);
    if (!std::isfinite(fit.equations.cost)) {
      last_[which].reset();
      continue;
    }
    last_[which] = fit.parameters;
    const auto factor = Cholesky<N>::of(fit.equations.matrix);
    if (!factor) continue;
    evidence[which] = -fit.equations.cost - factor->log_determinant() / 2;
    fits[which] = fit;
  }

  double best = -1e300;
  for (std::size_t which = 0; which < kCourseShapes; ++which) {
    if (fits[which]) best = std::max(best, evidence[which]);
  }
  double sum = 0;
  for (std::size_t which = 0; which < kCourseShapes; ++which) {
    weights_[which] = fits[which] ? std::exp(0.5 * (evidence[which] - best)) : 0.0;
    sum += weights_[which];
  }
  if (!(sum > 0)) return;
  for (double& weight : weights_) weight /= sum;

  static const auto kNormals = [] {
    std::array<std::array<double, N>, kDrawsPerShape> table{};
    for (std::size_t i = 0; i < kDrawsPerShape; ++i) table[i] = unit_normals(i);
    return table;
  }();
  draws_.reserve(kCourseShapes * kDrawsPerShape);
  for (std::size_t which = 0; which < kCourseShapes; ++which) {
    if (weights_[which] < 0.01) continue;
    const auto factor = Cholesky<N>::of(fits[which]->equations.matrix);
    for (const auto& z : kNormals) {
      P::Vector p = factor->solve_transposed(z);
      for (std::size_t i = 0; i < N; ++i) p[i] += fits[which]->parameters[i];
      draws_.push_back(
          {CourseCurve(static_cast<CourseShape>(which), p[P::kLogWidth], p[P::kLogMiddle], p[P::kShape]),
           weights_[which] / static_cast<double>(kDrawsPerShape), p[P::kStart] - p[P::kOffset],
           std::max(p[P::kFall], 0.5), p[P::kOffset], p[P::kWarmthSlope]});
    }
  }
}

double CourseFit::rate_at(double thermal_h) const {
  constexpr double kStep = 0.25;
  double rate = 0;
  for (std::size_t which = 0; which < kCourseShapes; ++which) {
    if (!last_[which] || weights_[which] < 0.01) continue;
    const P::Vector& p = *last_[which];
    const CourseCurve curve(static_cast<CourseShape>(which), p[P::kLogWidth], p[P::kLogMiddle], p[P::kShape]);
    rate -= weights_[which] * p[P::kFall] * (curve.done(thermal_h + kStep) - curve.done(thermal_h)) / kStep;
  }
  return rate;
}

double CourseFit::end_shown() const {
  double end = 0;
  for (std::size_t which = 0; which < kCourseShapes; ++which) {
    if (last_[which]) end += weights_[which] * ((*last_[which])[P::kStart] - (*last_[which])[P::kFall]);
  }
  return end;
}

double weighted_quantile(std::vector<WeightedValue>& values, double p) {
  std::sort(values.begin(), values.end(), [](const auto& a, const auto& b) { return a.value < b.value; });
  double sum = 0;
  for (const auto& v : values) sum += v.weight;
  double so_far = 0;
  double last = values.empty() ? 0 : values.front().value;
  double last_mid = 0;
  for (const auto& v : values) {
    const double mid = so_far + v.weight / 2;
    if (mid >= p * sum) {
      if (so_far == 0 || mid <= last_mid) return v.value;
      return last + (v.value - last) * (p * sum - last_mid) / (mid - last_mid);
    }
    so_far += v.weight;
    last = v.value;
    last_mid = mid;
  }
  return last;
}

}  // namespace gyle
