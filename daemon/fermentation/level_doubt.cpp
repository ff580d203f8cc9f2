#include "fermentation/level_doubt.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "series/student_t.h"

namespace gyle {
namespace {

// Common practice, no source. Points.
constexpr double kRightFloats = 0.7;  // share of hydrometers that are as good as this
constexpr double kRightSd = 0.5;
constexpr double kOffSd = 2.3;       // of the others: up to some four points
constexpr double kOriginalSd = 0.8;  // of an original gravity as entered
constexpr double kSlipShare = 0.03;  // of original gravities that were misread
constexpr double kSlip = 3;          // by so much
constexpr double kSampleSd = 0.6;    // of a hand reading, and of the hydrometer's drift between two

}  // namespace

LevelDoubt::LevelDoubt(double start_shown, double start_sd, std::optional<double> original,
                       std::span<const SampleBeside> samples, std::span<const HydrometerBeside> others) {
  others = others.first(std::min(others.size(), kMostOthers));
  // Bit i of `right`: whether the i-th of the others is a good one.
  const auto add_with = [&](double weight, double float_sd, double slip, unsigned right) {
    Part part{std::log(weight), 0, float_sd, 0};
    const auto see = [&](double offset, double sd) {
      const double variance = part.sd * part.sd + sd * sd;
      const double off = offset - part.mean;
      part.weight += -0.5 * off * off / variance - 0.5 * std::log(variance);
      part.mean += off * part.sd * part.sd / variance;
      part.sd *= sd / std::sqrt(variance);
    };
    for (std::size_t i = 0; i < others.size(); ++i) {
      const bool good = (right >> i & 1U) != 0;
      part.weight += std::log(good ? kRightFloats : 1 - kRightFloats);
      see(others[i].difference, std::hypot(others[i].sd, good ? kRightSd : kOffSd));
    }
    for (const SampleBeside& one : samples) see(one.shown - one.sample, kSampleSd);
    if (original) {
      // A disagreement between the hydrometer and the entered original gravity is shared between them.
      const double off = start_shown - (*original - slip) - part.mean;
      const double variance = part.sd * part.sd + kOriginalSd * kOriginalSd + start_sd * start_sd;
      part.original = *original - slip + off * kOriginalSd * kOriginalSd / variance;
      see(start_shown - (*original - slip), std::hypot(kOriginalSd, start_sd));
    } else {
      part.original = start_shown - part.mean;
    }
    parts_.push_back(part);
  };
  const auto add = [&](double weight, double float_sd, double slip) {
    for (unsigned right = 0; right < 1U << others.size(); ++right) add_with(weight, float_sd, slip, right);
  };
  for (const auto& [share, sd] : {std::pair{kRightFloats, kRightSd}, std::pair{1 - kRightFloats, kOffSd}}) {
    add(share * (1 - kSlipShare), sd, 0);
    if (!original) continue;
    add(share * kSlipShare / 2, sd, kSlip);
    add(share * kSlipShare / 2, sd, -kSlip);
  }
  double best = parts_.front().weight;
  for (const Part& part : parts_) best = std::max(best, part.weight);
  double sum = 0;
  for (Part& part : parts_) sum += part.weight = std::exp(part.weight - best);
  for (Part& part : parts_) {
    part.weight /= sum;
    mean_ += part.weight * part.mean;
    original_ += part.weight * part.original;
  }
  double square = 0;
  for (const Part& part : parts_) {
    square += part.weight * (part.sd * part.sd + (part.mean - mean_) * (part.mean - mean_));
  }
  sd_ = std::sqrt(square);
  interval_ = {mean_, std::min(quantile(0.1), mean_), std::max(quantile(0.9), mean_)};
}

double LevelDoubt::quantile(double p) const {
  double low = mean_ - 8 * sd_ - 1e-9;
  double high = mean_ + 8 * sd_ + 1e-9;
  for (int round = 0; round < 40; ++round) {
    const double middle = (low + high) / 2;
    double below = 0;
    for (const Part& part : parts_) below += part.weight * normal_cdf((middle - part.mean) / part.sd);
    (below < p ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace gyle
