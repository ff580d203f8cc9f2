#include "fermentation/battery_watch.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "series/robust_line.h"
#include "series/student_t.h"

namespace gyle {
namespace {

constexpr int kRun = 3;  // readings that agree
constexpr double kBinH = 6;
constexpr double kWindowH = 240;
constexpr std::size_t kFewest = 6;        // means
constexpr double kFallConfidence = 0.99;  // that it falls
constexpr double kBent = 0.995;           // in both directions
constexpr double kFollowing = 2.5;        // standard errors of an autocorrelation
constexpr double kMostCorrelated = 0.8;

// Below this a cell is nearly empty, by the highest voltage it has shown.
double empty_below(double most) {
  if (most > 4.35) return 3.6;   // three alkaline cells
  if (most > 3.45) return 3.45;  // a lithium-ion cell
  if (most > 1.8) return 2.4;    // two alkaline cells, or a lithium coin
  return 1.1;                    // one alkaline cell
}

// More than warmth can raise a voltage.
double change_of(double most) { return most > 1.8 ? 0.2 : 0.1; }

// A line, its errors widened for autocorrelated residuals.
struct Fit {
  WeightedLine line;
  double independent;  // effective number of independent values
  double freedom;
  double slope_se;
};

std::optional<Fit> fit_of(std::span<const double> t, std::span<const double> v) {
  const auto line = huber_line(t, v);
  if (!line) return std::nullopt;
  const double correlation = std::clamp(line.value().autocorrelation, 0.0, kMostCorrelated);
  const double share = (1 - correlation) / (1 + correlation);
  const double independent = static_cast<double>(t.size()) * share;
  return Fit{line.value(), independent, std::max(2.0, independent - 2),
             line.value().slope_se / std::sqrt(share)};
}

// Its residuals are autocorrelated beyond chance, or the slope of the newest half differs from the whole.
bool bends(const Fit& whole, std::size_t count, const Fit& half) {
  if (whole.line.autocorrelation > kFollowing / std::sqrt(static_cast<double>(count))) return true;
  return std::abs(half.line.slope - whole.line.slope) >
         student_t_quantile(kBent, half.freedom) * half.slope_se;
}

// Where the line meets `level`: Fieller's interval for the ratio of two normal estimates.
std::optional<Interval> crossing(const Fit& fit, double level) {
  const WeightedLine& line = fit.line;
  if (!(line.slope + student_t_quantile(kFallConfidence, fit.freedom) * fit.slope_se < 0))
    return std::nullopt;
  const double t = student_t_quantile(0.9, fit.freedom);
  const double g = std::pow(t * fit.slope_se / line.slope, 2);  // below 1, because the fall is significant
  const double ahead = (level - line.centre) / line.slope;
  const double half =
      t / -line.slope *
      std::sqrt(line.scale * line.scale / fit.independent * (1 - g) + std::pow(ahead * fit.slope_se, 2));
  return Interval{line.centre_t + ahead, line.centre_t + (ahead - half) / (1 - g),
                  line.centre_t + (ahead + half) / (1 - g)};
}

}  // namespace

bool BatteryWatch::nearly_empty() const { return low_count_ >= kRun; }

void BatteryWatch::offer(double time_h, double volt) {
  if (volt_ && time_h <= last_h_) return;
  if (is_another(volt)) {
    const int changes = changes_ + 1;
    *this = BatteryWatch{};
    changes_ = changes;
  }
  volt_ = volt;
  last_h_ = time_h;
  most_ = std::max(most_, volt);
  const double limit = empty_below(most_);
  if (volt < limit) {
    low_count_ = std::min(low_count_ + 1, 2 * kRun);
  } else if (volt > limit + 0.05) {
    low_count_ = std::max(low_count_ - 1, 0);
  }
  const double bin = std::floor(time_h / kBinH);
  if (open_count_ > 0 && bin != open_bin_) close();
  open_bin_ = bin;
  open_.time_h += time_h;
  open_.volt += volt;
  ++open_count_;
}

bool BatteryWatch::is_another(double volt) {
  if (means_.empty() && open_count_ < kRun) return false;
  const double was = means_.empty() ? open_.volt / open_count_ : means_.back().volt;
  higher_count_ = volt > was + change_of(most_) ? higher_count_ + 1 : 0;
  return higher_count_ >= kRun;
}

void BatteryWatch::close() {
  means_.push_back({open_.time_h / open_count_, open_.volt / open_count_});
  open_ = {0, 0};
  open_count_ = 0;
  while (means_.front().time_h < means_.back().time_h - kWindowH) means_.pop_front();
  forecast();
}

void BatteryWatch::forecast() {
  empty_h_.reset();
  std::vector<double> times, volts;
  for (const Mean& mean : means_) {
    times.push_back(mean.time_h);
    volts.push_back(mean.volt);
  }
  std::span<const double> t(times), v(volts);
  while (t.size() >= kFewest) {
    const auto fit = fit_of(t, v);
    if (!fit) return;
    if (t.size() >= 2 * kFewest) {
      const auto newest_t = t.last(t.size() / 2), newest_v = v.last(v.size() / 2);
      const auto newest = fit_of(newest_t, newest_v);
      if (newest && bends(*fit, t.size(), *newest)) {
        t = newest_t;
        v = newest_v;
        continue;
      }
    }
    empty_h_ = crossing(*fit, empty_below(most_));
    return;
  }
}

}  // namespace gyle
