#include "fermentation/hindsight.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

constexpr double kSmoothBinH = 1.0 / 3;
constexpr double kReachH = 8, kWidestReachH = 24;  // on each side of a node
constexpr std::size_t kMostNodes = 6000, kLeastBeside = 3;
constexpr double kTaperH = 6;  // before the newest point
constexpr double kWildSigmas = 8, kWildSg = 0.003;
constexpr double kNoiseSg = 0.0001;     // no sensor is better
constexpr double kEightInTen = 1.2816;  // sigmas of a normal distribution

double hours_of(Time time) { return in_seconds(time.time_since_epoch()) / 3600; }

double median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

struct Node {
  double time_h, value;
};
struct LocalFit {
  double time_h, value, slope, half;
};

// The medians of the readings in bins of equal width, without those far from what was estimated.
std::vector<Node> nodes_of(std::span<const CurvePoint> curve) {
  std::vector<double> apart;
  for (const CurvePoint& point : curve) {
    const double residual = point.gravity_raw - point.gravity.value;
    if (std::isfinite(residual)) apart.push_back(std::abs(residual));
  }
  if (apart.empty()) return {};
  const double wild = std::max(kWildSg, kWildSigmas * 1.4826 * median(apart));
  const double first = hours_of(curve.front().time);
  const double width =
      std::max(kSmoothBinH, (hours_of(curve.back().time) - first) / static_cast<double>(kMostNodes));
  std::vector<Node> nodes;
  std::vector<double> values;
  double times = 0, bin = 0;
  const auto close = [&] {
    if (!values.empty()) nodes.push_back({times / static_cast<double>(values.size()), median(values)});
    values.clear();
    times = 0;
  };
  for (const CurvePoint& point : curve) {
    if (!(std::abs(point.gravity_raw - point.gravity.value) <= wild)) continue;
    const double time = hours_of(point.time);
    if (const double mine = std::floor((time - first) / width); mine != bin) {
      close();
      bin = mine;
    }
    values.push_back(point.gravity_raw);
    times += time;
  }
  close();
  return nodes;
}

// A line through the nodes around one of them, by weights that fall with the distance in time and in value.
LocalFit local_line(std::span<const Node> nodes, std::size_t at) {
  const double here = nodes[at].time_h;
  double reach = kReachH;
  const std::size_t before = at - std::min(at, kLeastBeside);
  const std::size_t after = std::min(nodes.size() - 1, at + kLeastBeside);
  reach = std::min(kWidestReachH, std::max({reach, here - nodes[before].time_h, nodes[after].time_h - here}));
  std::size_t low = at, high = at + 1;
  while (low > 0 && here - nodes[low - 1].time_h <= reach) --low;
  while (high < nodes.size() && nodes[high].time_h - here <= reach) ++high;
  const std::span<const Node> near = nodes.subspan(low, high - low);

  LocalFit fit{here, nodes[at].value, 0, 0};
  std::vector<double> sizes(near.size());
  double scale = 0;
  for (int round = 0; round < 3; ++round) {
    double sum = 0, squares = 0, t = 0, v = 0, tt = 0, tv = 0;
    for (const Node& node : near) {
      const double x = node.time_h - here;
      const double part = std::min(1.0, std::abs(x) / (1.001 * reach));
      const double near_by = 1 - part * part * part;
      double weight = near_by * near_by * near_by;
      if (scale > 0) {
        const double far = (node.value - fit.value - fit.slope * x) / (6 * scale);
        weight *= std::abs(far) >= 1 ? 0 : (1 - far * far) * (1 - far * far);
      }
      sum += weight;
      squares += weight * weight;
      t += weight * x;
      v += weight * (node.value - nodes[at].value);
      tt += weight * x * x;
      tv += weight * x * (node.value - nodes[at].value);
    }
    if (!(sum > 0)) break;
    const double spread = sum * tt - t * t;
    fit.slope = near.size() > 2 && spread > 1e-9 * sum * sum ? (sum * tv - t * v) / spread : 0;
    fit.value = nodes[at].value + (v - fit.slope * t) / sum;
    for (std::size_t i = 0; i < near.size(); ++i) {
      sizes[i] = std::abs(near[i].value - fit.value - fit.slope * (near[i].time_h - here));
    }
    scale = std::max(kNoiseSg, 1.4826 * median(sizes));
    fit.half = kEightInTen * scale / std::sqrt(sum * sum / squares);
  }
  return fit;
}

std::vector<LocalFit> smooth(std::span<const CurvePoint> curve) {
  const std::vector<Node> nodes = nodes_of(curve);
  std::vector<LocalFit> fits;
  fits.reserve(nodes.size());
  for (std::size_t i = 0; i < nodes.size(); ++i) fits.push_back(local_line(nodes, i));
  return fits;
}

// Between two nodes, or on the line of the first or the last.
LocalFit at_time(std::span<const LocalFit> fits, std::size_t next, double time_h) {
  if (next == 0 || next == fits.size()) {
    LocalFit fit = next == 0 ? fits.front() : fits.back();
    fit.value += fit.slope * std::clamp(time_h - fit.time_h, -1.0, 1.0);
    return fit;
  }
  const LocalFit &a = fits[next - 1], &b = fits[next];
  const double part = b.time_h > a.time_h ? (time_h - a.time_h) / (b.time_h - a.time_h) : 0;
  return {time_h, a.value + part * (b.value - a.value), 0, a.half + part * (b.half - a.half)};
}

}  // namespace

std::vector<CurvePoint> in_hindsight(std::span<const CurvePoint> curve, const BatchView& view) {
  std::vector<CurvePoint> known(curve.begin(), curve.end());
  if (known.empty()) return known;
  const std::vector<LocalFit> fits = smooth(curve);
  if (fits.empty()) return known;
  const double offset = view.offset ? view.offset->value.value / 1000 : 0;
  const Interval newest =
      view.gravity.value_or(Interval{curve.back().gravity.value - offset, curve.back().gravity.low - offset,
                                     curve.back().gravity.high - offset});
  // What is not known about the level now was not known then.
  const double below =
      view.offset ? (view.offset->high.value - view.offset->value.value) / 1000 : newest.value - newest.low;
  const double above =
      view.offset ? (view.offset->value.value - view.offset->low.value) / 1000 : newest.high - newest.value;
  const double end_h = hours_of(known.back().time);
  const LocalFit last = at_time(fits, fits.size(), end_h);
  std::size_t next = 0;
  for (CurvePoint& point : known) {
    const double time_h = hours_of(point.time);
    while (next < fits.size() && fits[next].time_h < time_h) ++next;
    const LocalFit fit = at_time(fits, next, time_h);
    const double share = std::max(0.0, 1 - (end_h - time_h) / kTaperH);
    const double pull = share * share;
    const double value = fit.value - offset + pull * (newest.value - (last.value - offset));
    const auto doubt = [&](double level, double now) {
      return (1 - pull) * std::hypot(level, fit.half) + pull * now;
    };
    point.gravity_raw -= offset;
    point.gravity = {value, value - doubt(below, newest.value - newest.low),
                     value + doubt(above, newest.high - newest.value)};
  }
  return known;
}

}  // namespace gyle
