#include "series/thinning.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace gyle {
namespace {

// The extremes of points [begin, end), unsorted and perhaps repeated.
void extremes(std::span<const std::span<const double>> curves, std::size_t begin, std::size_t end,
              std::vector<std::size_t>& kept) {
  for (const auto& curve : curves) {
    std::size_t low = end;
    std::size_t high = end;
    for (std::size_t i = begin; i < end; ++i) {
      if (std::isnan(curve[i])) continue;
      if (low == end || curve[i] < curve[low]) low = i;
      if (high == end || curve[i] > curve[high]) high = i;
    }
    if (low != end) kept.insert(kept.end(), {low, high});
  }
}

std::vector<std::size_t> in_columns(std::span<const double> time,
                                    std::span<const std::span<const double>> curves, std::size_t columns) {
  std::vector<std::size_t> kept{0};
  const double width = (time.back() - time.front()) / static_cast<double>(columns);
  std::size_t begin = 0;
  for (std::size_t column = 1; column <= columns; ++column) {
    const double edge = time.front() + width * static_cast<double>(column);
    std::size_t end = begin;
    while (end < time.size() && (column == columns || time[end] < edge)) ++end;
    extremes(curves, begin, end, kept);
    begin = end;
  }
  kept.push_back(time.size() - 1);
  std::sort(kept.begin(), kept.end());
  kept.erase(std::unique(kept.begin(), kept.end()), kept.end());
  return kept;
}

}  // namespace

std::vector<std::size_t> thinned(std::span<const double> time,
                                 std::span<const std::span<const double>> curves, std::size_t at_most) {
  if (at_most == 0) return {};
  if (time.size() <= at_most) {
    std::vector<std::size_t> all(time.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    return all;
  }
  // So many always fit.
  const std::size_t surely =
      at_most > 2 ? std::max<std::size_t>((at_most - 2) / std::max<std::size_t>(2 * curves.size(), 1), 1) : 1;
  std::size_t columns = std::max(at_most / 2, surely);
  while (true) {
    auto kept = in_columns(time, curves, columns);
    if (kept.size() <= at_most || columns <= surely) return kept;
    columns = std::max(surely, std::min(columns - 1, columns * at_most / kept.size()));
  }
}

}  // namespace gyle
