#include "fermentation/course_shapes.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

namespace gyle {
namespace {

constexpr double kStepH = 0.25;
constexpr std::size_t kSteps = 8000;  // 2000 h: long after the end of every form

using Curve = std::function<double(double)>;

std::vector<double> sampled(const Curve& curve) {
  std::vector<double> done(kSteps);
  const double first = curve(0);
  for (std::size_t i = 0; i < kSteps; ++i) {
    done[i] = (curve(static_cast<double>(i) * kStepH) - first) / (1 - first);
  }
  return done;
}

// Sugars in mol/m3, taken up one after the other at 20 degC by yeast that grows on them.
std::vector<double> sequential_sugars(double glucose, double maltose, double maltotriose, double yeast) {
  constexpr double kKelvin = 293.15;
  const auto rate = [&](double ln_a, double kcal) { return std::exp(ln_a - kcal / (1.987e-3 * kKelvin)); };
  const double v_g = rate(35.77, 22.6), v_m = rate(16.40, 11.3), v_n = rate(10.59, 7.16);
  const double k_g = rate(-121.3, -68.6), k_m = rate(-19.15, -14.4), k_n = rate(-26.78, -19.9);
  const double held_g = rate(23.33, 10.2), held_m = rate(55.61, 26.3);
  const auto mass = [&] { return 180.16 * glucose + 342.30 * maltose + 504.44 * maltotriose; };
  const double first = mass();
  std::vector<double> done(kSteps);
  for (double& d : done) {
    d = 1 - mass() / first;
    const double free_g = held_g / (held_g + glucose);
    const double free_m = held_m / (held_m + maltose);
    const double used_g = std::min(glucose, v_g * glucose / (k_g + glucose) * yeast * kStepH);
    const double used_m = std::min(maltose, v_m * maltose / (k_m + maltose) * free_g * yeast * kStepH);
    const double used_n =
        std::min(maltotriose, v_n * maltotriose / (k_n + maltotriose) * free_g * free_m * yeast * kStepH);
    glucose -= used_g;
    maltose -= used_m;
    maltotriose -= used_n;
    yeast += 0.134 * used_g + 0.268 * used_m + 0.402 * used_n;
  }
  return done;
}

// Yeast grows to a limit, uptake of sugar follows Monod, alcohol slows both.
std::vector<double> limited_growth(double yeast, double half_sugar, double hindrance) {
  double sugar = 1;
  std::vector<double> done(kSteps);
  for (double& d : done) {
    d = 1 - sugar;
    const double uptake = sugar / (half_sugar + sugar) * (1 - hindrance * (1 - sugar));
    yeast += kStepH * 0.15 * yeast * (1 - yeast) * uptake;
    sugar = std::max(0.0, sugar - kStepH * 0.03 * yeast * uptake);
  }
  return done;
}

std::vector<CourseShape> make_shapes() {
  std::vector<CourseShape> shapes;
  constexpr double kHalf = 40;  // hours; any would do, a shape is scaled
  const auto family = [&](const std::vector<std::vector<double>>& members, double prior) {
    for (const auto& done : members) {
      shapes.emplace_back(done, kStepH, prior / static_cast<double>(members.size()));
    }
  };
  std::vector<std::vector<double>> members;
  for (const double rate : {0.055, 0.08, 0.11, 0.15}) {
    members.push_back(sampled([=](double t) { return logistic_done(t, rate, kHalf); }));
  }
  family(members, 1);
  members.clear();
  for (const double rate : {0.06, 0.11}) {
    for (const double asymmetry : {0.3, 0.55, 1.8}) {
      members.push_back(sampled([=](double t) { return richards_done(t, rate, kHalf, asymmetry); }));
      members.push_back(sampled([=](double t) { return 1 - richards_done(kHalf - t, rate, 0, asymmetry); }));
    }
  }
  family(members, 1.5);
  members.clear();
  for (const double share : {0.07, 0.14}) {
    for (const double slower : {2.5, 5.0}) {
      for (const double rate : {0.07, 0.12}) {
        members.push_back(sampled([=](double t) {
          return (1 - share) * logistic_done(t, rate, kHalf) +
                 share * (t < kHalf ? 0.0 : -std::expm1(-rate / slower * (t - kHalf)));
        }));
      }
    }
  }
  family(members, 1);
  members.clear();
  for (const double slope : {0.018, 0.025, 0.035}) {
    for (const double lag : {8.0, 20.0}) {
      members.push_back(sampled([=](double t) { return gompertz_done(t, slope, lag); }));
    }
  }
  family(members, 1);
  members.clear();
  for (const double share : {0.0, 0.06, 0.12, 0.2}) {
    for (const double slower : {2.0, 3.5}) {
      members.push_back(sampled([=](double t) {
        return 1 - (1 - share) * std::exp(-0.03 * t) - share * std::exp(-0.03 * t / slower);
      }));
    }
  }
  family(members, 1);
  members.clear();
  for (const double power : {1.3, 1.7, 2.1, 2.6}) {
    members.push_back(sampled([=](double t) { return -std::expm1(-std::pow(t / 50, power)); }));
  }
  family(members, 1);
  family({limited_growth(0.03, 0.05, 0.2), limited_growth(0.03, 0.2, 0.5), limited_growth(0.08, 0.1, 0.1),
          limited_growth(0.08, 0.3, 0.4), limited_growth(0.15, 0.05, 0.5), limited_growth(0.15, 0.25, 0.2)},
         1);
  family({sequential_sugars(45, 220, 25, 90), sequential_sugars(100, 190, 50, 90),
          sequential_sugars(70, 220, 40, 175), sequential_sugars(45, 250, 50, 150),
          sequential_sugars(100, 240, 25, 70), sequential_sugars(60, 200, 50, 70)},
         1);
  family({settling_cells_done(9), settling_cells_done(10.5), settling_cells_done(12)}, 0.7);
  return shapes;
}

}  // namespace

double logistic_done(double t, double rate, double middle) {
  return 1 / (1 + std::exp(-rate * (t - middle)));
}

double richards_done(double t, double rate, double middle, double asymmetry) {
  return std::pow(1 + asymmetry * std::exp(-rate * (t - middle)), -1 / asymmetry);
}

double gompertz_done(double t, double slope, double lag) {
  return std::exp(-std::exp(slope * std::numbers::e * (lag - t) + 1));
}

std::vector<double> settling_cells_done(double celsius) {
  constexpr double kSugar = 130;  // g/L
  const double kelvin = celsius + 273.15;
  const double growth = std::exp(108.31 - 31934.09 / kelvin);
  const double uptake = std::exp(-41.92 + 11654.64 / kelvin);
  const double waking = std::exp(30.72 - 9501.54 / kelvin);
  const double alcohol = std::exp(3.27 - 1267.24 / kelvin);
  const double dying = std::exp(130.16 - 38313.0 / kelvin);
  const double half = std::exp(-119.63 + 34203.95 / kelvin);
  double lagging = 1.92, active = 0.08, sugar = kSugar, ethanol = 0;
  std::vector<double> done(kSteps);
  for (double& d : done) {
    d = 1 - sugar / kSugar;
    constexpr int kParts = 5;  // the terms are steep
    for (int part = 0; part < kParts; ++part) {
      const double h = kStepH / kParts;
      const double fed = sugar / (half + sugar);
      const double woken = waking * lagging;
      const double grown = growth * sugar / (0.5 * kSugar + ethanol) * active;
      const double used = uptake * fed * active;
      ethanol += h * (1 - ethanol / (0.5 * kSugar)) * alcohol * fed * active;
      lagging -= h * woken;
      active += h * (grown + woken - dying * active);
      sugar = std::max(0.0, sugar - h * used);
    }
  }
  return done;
}

CourseShape::CourseShape(std::span<const double> done, double step_h, double prior) : prior_(prior) {
  const double end = done.back();
  const auto half =
      static_cast<std::size_t>(std::lower_bound(done.begin(), done.end(), end / 2) - done.begin());
  const double before = done[half - 1];
  const double half_h = (static_cast<double>(half - 1) + (end / 2 - before) / (done[half] - before)) * step_h;
  const auto value = [&](double x) {
    const double i = x * half_h / step_h;
    const auto low = std::min(static_cast<std::size_t>(i), done.size() - 2);
    const double part = std::min(1.0, i - static_cast<double>(low));
    return std::min(1.0, (done[low] + part * (done[low + 1] - done[low])) / end);
  };
  constexpr double kStep = 1.0 / static_cast<double>(kPerUnit);
  for (std::size_t i = 0; i < kKnots; ++i) {
    const double x = static_cast<double>(i) * kStep;
    done_[i] = value(x);
    const double ahead = value(x + kStep / 4);
    slope_[i] = i == 0 ? (ahead - done_[0]) / (kStep / 4) : (ahead - value(x - kStep / 4)) / (kStep / 2);
  }
  const double left = 1 - done_.back();
  end_rate_ = left > 1e-9 ? std::max(slope_.back() / left, 0.05) : 5.0;
}

CourseShape::Value CourseShape::at(double x) const {
  if (x <= 0) return {0, 0};
  if (x >= kMost) {
    const double left = (1 - done_.back()) * std::exp(-end_rate_ * (x - kMost));
    return {1 - left, left * end_rate_};
  }
  constexpr double kScale = static_cast<double>(kPerUnit);
  const auto i = static_cast<std::size_t>(x * kScale);
  const double p = x * kScale - static_cast<double>(i);
  // Cubic Hermite between the knots.
  const double m0 = slope_[i] / kScale, m1 = slope_[i + 1] / kScale;
  const double rise = done_[i + 1] - done_[i];
  const double c2 = 3 * rise - 2 * m0 - m1, c3 = m0 + m1 - 2 * rise;
  return {done_[i] + p * (m0 + p * (c2 + p * c3)), (m0 + p * (2 * c2 + 3 * p * c3)) * kScale};
}

double CourseShape::when(double done) const {
  if (done <= 0) return 0;
  if (done >= done_.back()) {
    const double left = 1 - done_.back();
    if (done >= 1 || left <= 0) return kNever;
    return std::min(kNever, kMost + std::log(left / (1 - done)) / end_rate_);
  }
  const auto after =
      static_cast<std::size_t>(std::lower_bound(done_.begin(), done_.end(), done) - done_.begin());
  const double low = done_[after - 1];
  const double part = done_[after] > low ? (done - low) / (done_[after] - low) : 0.0;
  return (static_cast<double>(after - 1) + part) / static_cast<double>(kPerUnit);
}

const std::vector<CourseShape>& course_shapes() {
  static const std::vector<CourseShape> kShapes = make_shapes();
  return kShapes;
}

}  // namespace gyle
