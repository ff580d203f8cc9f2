#include "fermentation/course.h"

#include <algorithm>
#include <cmath>

#include "series/least_squares.h"
#include "series/robust_statistics.h"
#include "series/student_t.h"

namespace gyle {
namespace {

// How far a real beer departs from any of these shapes, points, and for how long.
constexpr double kStraySd = 0.25;       // at full activity
constexpr double kStrayQuietSd = 0.06;  // when nothing moves
constexpr double kStrayH = 10;

constexpr double kAddedSugarH =
    24;  // thermal: sugar in a working beer takes some days; common practice, no source

constexpr double kEvidenceUsed = 0.85;  // of the log evidence that is used: no shape is quite right
constexpr std::size_t kDraws = 120;
constexpr double kLeastWeight = 0.004;  // a shape with less gets no draws
constexpr int kSeldom = 4;              // and is fitted only every so many times

struct Normal {
  double mean;
  double sd;
};
constexpr Normal kHalfPrior{3.6, 0.6};
constexpr Normal kLagPrior{1.9, 0.9};
constexpr double kWarmthSlopeSd = 0.12;
constexpr double kStartSd = 1.6;         // of what hydrometers show at a known original gravity
constexpr double kUnknownStartSd = 8.0;  // when only the first reading is known
constexpr double kBandShare = 0.65;  // standard deviation of final gravities, as a fraction of half the band
constexpr double kBandLeastSd = 0.4;
constexpr double kUnknownOriginalSd = 1.6;  // of the first reading as original gravity

// Low-discrepancy unit normals: the additive recurrence on the generalised golden ratio.
template <std::size_t N>
std::array<double, N> unit_normals(std::size_t i) {
  constexpr double kGolden = 1.1347241384015194;  // root of x^(N+1) = x + 1 for N = 5
  static_assert(N == 5);
  std::array<double, N> z{};
  double step = 1;
  for (double& value : z) {
    step /= kGolden;
    double whole;
    value =
        normal_quantile(std::clamp(std::modf(0.5 + static_cast<double>(i + 1) * step, &whole), 0.004, 0.996));
  }
  return z;
}

}  // namespace

double AddedFall::done(double at_thermal_h) const {
  return at_thermal_h <= thermal_h ? 0.0 : 1 - std::exp(-(at_thermal_h - thermal_h) / kAddedSugarH);
}

double AddedFall::rate(double at_thermal_h) const {
  return at_thermal_h <= thermal_h ? 0.0
                                   : std::exp(-(at_thermal_h - thermal_h) / kAddedSugarH) / kAddedSugarH;
}

double CourseDraw::with_added(double own_done, double thermal_h) const {
  double sum = 0, fallen = 0;
  for (const AddedFall& one : *added) {
    sum += one.fall;
    fallen += one.fall * one.done(thermal_h);
  }
  return ((fall - sum) * own_done + fallen) / fall;
}

// Between when the fall of the wort would have come so far and when all of it will have.
double CourseDraw::when_with_added(double done_wanted, double own) const {
  double low = lag_h, high = own;
  for (const AddedFall& one : *added) {
    low = std::min(low, one.thermal_h);
    high = std::max(high, one.thermal_h + 12 * kAddedSugarH);
  }
  for (int round = 0; round < 40; ++round) {
    const double middle = (low + high) / 2;
    (done(middle) < done_wanted ? low : high) = middle;
  }
  return high;
}

void CourseFit::refit(std::span<const HourMean> hours, double now_h, const SensorNoise& noise,
                      const CoursePrior& prior) {
  std::vector<HourMean> points = condensed(hours, now_h);
  double added_sum = 0;
  added_ = prior.added.empty() ? nullptr : std::make_shared<const std::vector<AddedFall>>(prior.added);
  for (const AddedFall& added : prior.added) {
    added_sum += added.fall;
    // The shapes are those of the wort.
    for (HourMean& hour : points) hour.points += added.fall * added.done(hour.thermal_h);
  }
  draws_.clear();
  if (points.empty()) return;
  const auto& shapes = course_shapes();
  const double first = points.front().points;
  const double original_guess = prior.original.value_or(first);
  if (candidates_.empty()) {
    const Vector start{first, prior.attenuation_middle * original_guess, kHalfPrior.mean, kLagPrior.mean, 0};
    candidates_.assign(shapes.size(), Candidate{start});
  }
  // How active the beer was at each point, by the best fit before this one.
  std::vector<double> variances(points.size());
  {
    const auto best = static_cast<std::size_t>(
        std::max_element(candidates_.begin(), candidates_.end(),
                         [](const Candidate& a, const Candidate& b) { return a.weight < b.weight; }) -
        candidates_.begin());
    const Vector& p = candidates_[best].parameters;
    for (std::size_t i = 0; i < points.size(); ++i) {
      double activity = 1;
      if (candidates_[best].fitted) {
        const double x = (points[i].thermal_h - std::exp(p[kLogLag])) / std::exp(p[kLogHalf]);
        const double done = std::min(1.0, shapes[best].at(x).done);
        activity = 4 * done * (1 - done);
      }
      const double stray = kStrayQuietSd + (kStraySd - kStrayQuietSd) * activity;
      variances[i] = noise.of_hour(points[i]) + stray * stray * kStrayH / std::max(1.0, points[i].span_h);
    }
  }

  const bool all = refits_++ % kSeldom == 0;
  std::vector<double> evidence(shapes.size(), -1e300);
  std::vector<std::optional<Cholesky<kCount>>> factors(shapes.size());
  double best = -1e300;
  for (std::size_t which = 0; which < shapes.size(); ++which) {
    Candidate& candidate = candidates_[which];
    const CourseShape& shape = shapes[which];
    const auto evaluate = [&](const Vector& p) {
      NormalEquations<kCount> sums;
      const auto prior_term = [&](std::size_t i, double mean, double sd) {
        Vector slope{};
        slope[i] = 1 / sd;
        sums.add((p[i] - mean) / sd, slope, 1);
      };
      prior_term(kLogHalf, kHalfPrior.mean, kHalfPrior.sd);
      prior_term(kLogLag, kLagPrior.mean, kLagPrior.sd);
      prior_term(kWarmthSlope, 0, kWarmthSlopeSd);
      if (prior.log_half_fall) {
        const double half_h = std::exp(p[kLogHalf]), lag_h = std::exp(p[kLogLag]);
        const double sd = prior.log_half_fall->second;
        const double r = (std::log(half_h + lag_h) - prior.log_half_fall->first) / sd;
        Vector slope{};
        slope[kLogHalf] = half_h / (half_h + lag_h) / sd;
        slope[kLogLag] = lag_h / (half_h + lag_h) / sd;
        sums.add(r, slope, student_weight(r, 4));
      }
      {
        const double sd = prior.original ? kStartSd : kUnknownStartSd;
        const double r = (p[kStart] - original_guess) / sd;
        Vector slope{};
        slope[kStart] = 1 / sd;
        sums.add(r, slope, student_weight(r, 4));
      }
      {
        const double original = prior.original ? prior.likely_original.value_or(*prior.original) : p[kStart];
        const double own = std::hypot(prior.attenuation_half_width * original * kBandShare, kBandLeastSd);
        const double sd =
            prior.original ? own : std::hypot(own, prior.attenuation_middle * kUnknownOriginalSd);
        const double r = (p[kFall] + added_sum - prior.attenuation_middle * original) / sd;
        Vector slope{};
        slope[kFall] = 1 / sd;
        if (!prior.original) slope[kStart] = -prior.attenuation_middle / sd;
        sums.add(r, slope, student_weight(r, 8));
      }
      const double half_h = std::exp(std::clamp(p[kLogHalf], 0.5, 8.0));
      const double lag_h = std::exp(std::clamp(p[kLogLag], -3.0, 6.5));
      for (std::size_t i = 0; i < points.size(); ++i) {
        const double x = (points[i].thermal_h - lag_h) / half_h;
        const CourseShape::Value there = shape.at(x);
        const double expected = p[kStart] - p[kFall] * there.done + p[kWarmthSlope] * points[i].warmth;
        const double precision = 1 / std::sqrt(variances[i]);
        const double r = (expected - points[i].points) * precision;
        const Vector slope{precision, -there.done * precision,
                           p[kFall] * there.slope * std::max(x, 0.0) * precision,
                           p[kFall] * there.slope * lag_h / half_h * precision, points[i].warmth * precision};
        sums.add(r, slope, student_weight(r, 5));
      }
      sums.mirror();
      return sums;
    };
    if (!all && candidate.fitted && candidate.weight < kLeastWeight / 4) continue;
    const auto fit = least_squares<kCount>(candidate.parameters, evaluate, candidate.fitted ? 4 : 30, 1e-4);
    if (!std::isfinite(fit.equations.cost)) continue;
    candidate.parameters = fit.parameters;
    candidate.fitted = true;
    factors[which] = Cholesky<kCount>::of(fit.equations.matrix);
    if (!factors[which]) continue;
    evidence[which] = std::log(shape.prior()) -
                      kEvidenceUsed * (fit.equations.cost + factors[which]->log_determinant() / 2);
    best = std::max(best, evidence[which]);
  }
  double sum = 0;
  for (std::size_t which = 0; which < shapes.size(); ++which) {
    candidates_[which].weight = factors[which] ? std::exp(evidence[which] - best) : 0.0;
    sum += candidates_[which].weight;
  }
  if (!(sum > 0)) return;

  static const auto kNormals = [] {
    std::array<std::array<double, kCount>, kDraws / 2> table{};
    for (std::size_t i = 0; i < table.size(); ++i) table[i] = unit_normals<kCount>(i);
    return table;
  }();
  for (std::size_t which = 0; which < shapes.size(); ++which) {
    Candidate& candidate = candidates_[which];
    candidate.weight /= sum;
    if (candidate.weight < kLeastWeight || !factors[which]) continue;
    const auto pairs =
        std::clamp<std::size_t>(static_cast<std::size_t>(candidate.weight * kDraws / 2), 2, kNormals.size());
    for (std::size_t i = 0; i < pairs; ++i) {
      const Vector off = factors[which]->solve_transposed(kNormals[i]);
      for (const double sign : {1.0, -1.0}) {
        Vector p = candidate.parameters;
        for (std::size_t k = 0; k < kCount; ++k) p[k] += sign * off[k];
        draws_.push_back({&shapes[which], candidate.weight / static_cast<double>(2 * pairs), p[kStart],
                          std::max(p[kFall], 0.5) + added_sum, std::exp(std::clamp(p[kLogHalf], 0.5, 8.0)),
                          std::exp(std::clamp(p[kLogLag], -3.0, 6.5)), p[kWarmthSlope], added_});
      }
    }
  }
}

double CourseFit::rate_at(double thermal_h) const {
  const auto& shapes = course_shapes();
  double rate = 0;
  for (std::size_t which = 0; which < candidates_.size(); ++which) {
    const Candidate& candidate = candidates_[which];
    if (candidate.weight < kLeastWeight) continue;
    const double half_h = std::exp(candidate.parameters[kLogHalf]);
    const double x = (thermal_h - std::exp(candidate.parameters[kLogLag])) / half_h;
    rate -= candidate.weight * candidate.parameters[kFall] * shapes[which].at(x).slope / half_h;
  }
  if (added_) {
    for (const AddedFall& added : *added_) rate -= added.fall * added.rate(thermal_h);
  }
  return rate;
}

double CourseFit::end_shown() const {
  double end = 0, sum = 0;
  for (const Candidate& candidate : candidates_) {
    end += candidate.weight * (candidate.parameters[kStart] - candidate.parameters[kFall]);
    sum += candidate.weight;
  }
  double added_sum = 0;
  if (added_) {
    for (const AddedFall& added : *added_) added_sum += added.fall;
  }
  return sum > 0 ? end / sum - added_sum : 0;
}

double CourseFit::start_shown() const {
  double start = 0, sum = 0;
  for (const Candidate& candidate : candidates_) {
    start += candidate.weight * candidate.parameters[kStart];
    sum += candidate.weight;
  }
  return sum > 0 ? start / sum : 0;
}

double CourseFit::done_at(double thermal_h) const {
  double done = 0, sum = 0;
  for (const CourseDraw& draw : draws_) {
    done += draw.weight * draw.done(thermal_h);
    sum += draw.weight;
  }
  return sum > 0 ? done / sum : 0;
}

double CourseFit::shown_at(double thermal_h) const {
  double shown = 0, sum = 0;
  for (const CourseDraw& draw : draws_) {
    shown += draw.weight * (draw.start - draw.fall * draw.done(thermal_h));
    sum += draw.weight;
  }
  return sum > 0 ? shown / sum : 0;
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
