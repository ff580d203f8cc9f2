#include "fermentation/batch_trace.h"

#include <algorithm>
#include <array>

#include "series/thinning.h"

namespace gyle {
namespace {

// After all that are not later, as a stable sort would.
template <class Point>
void insert(std::vector<Point>& list, const Point& point) {
  const auto place = std::upper_bound(list.begin(), list.end(), point,
                                      [](const Point& a, const Point& b) { return a.time < b.time; });
  list.insert(place, point);
}

template <class Point>
std::vector<double> times(const std::vector<Point>& list) {
  std::vector<double> times;
  for (const Point& point : list) times.push_back(in_seconds(point.time.time_since_epoch()));
  return times;
}

template <class Point>
void keep(std::vector<Point>& list, const std::vector<std::size_t>& places) {
  std::vector<Point> kept;
  for (const std::size_t i : places) kept.push_back(list[i]);
  list = std::move(kept);
}

void reduce(std::vector<CurvePoint>& curve, std::size_t most) {
  std::vector<double> raw;
  std::vector<double> gravity;
  for (const CurvePoint& point : curve) {
    raw.push_back(point.gravity_raw);
    gravity.push_back(point.gravity.value);
  }
  const std::array<std::span<const double>, 2> curves{raw, gravity};
  keep(curve, thinned(times(curve), curves, most));
}

void reduce(std::vector<UsedReading>& list, std::size_t most) {
  std::vector<double> values;
  for (const UsedReading& one : list) values.push_back(one.value);
  const std::array<std::span<const double>, 1> curves{values};
  keep(list, thinned(times(list), curves, most));
}

}  // namespace

void BatchTrace::add(const Outcome& outcome) {
  const auto bound = [this](auto& list) {
    if (list.size() <= most_) return;
    reduce(list, list.size() / 2);
    whole_ = false;
  };
  for (const CurvePoint& point : outcome.curve) insert(curve_, point);
  for (const UsedReading& one : outcome.measured) {
    auto& list = one.quantity == Quantity::sample             ? samples_
                 : one.quantity == Quantity::beer_temperature ? beer_
                                                              : ambient_;
    insert(list, one);
    bound(list);
  }
  bound(curve_);
}

BatchTrace BatchTrace::reduced(std::size_t most) const {
  BatchTrace less = *this;
  less.whole_ = whole_ && std::max({curve_.size(), beer_.size(), ambient_.size()}) <= most;
  reduce(less.curve_, most);
  reduce(less.beer_, most);
  reduce(less.ambient_, most);
  return less;
}

BatchTrace BatchTrace::of(const Outcome& outcomes, bool whole) {
  BatchTrace trace;
  trace.add(outcomes);
  trace.whole_ = trace.whole_ && whole;
  return trace;
}

}  // namespace gyle
