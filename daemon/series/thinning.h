#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace gyle {

// Which points of a picture to keep so that it looks the same: of each column of equal width in time the
// lowest and the highest of every curve, and the very first and last. One choice for all curves, so that
// they stay on one time axis.
//   time     any unit, never decreasing; every curve as long as it; NaN is no value
//   at_most  0: none; at least 2 + 2 for each curve are kept
//   out      ascending, no more than `at_most`; all when there are no more. As many columns as fit: where the
//            curves are smooth their extremes are the same points, and the columns narrower
//   cost     O(n), in some ten passes at most
//   tests    unit/series/thinning_test.cpp
std::vector<std::size_t> thinned(std::span<const double> time,
                                 std::span<const std::span<const double>> curves, std::size_t at_most);

}  // namespace gyle
