#include "series/page_hinkley.h"

#include <algorithm>

namespace gyle {

bool PageHinkley::add(double value) {
  ++count_;
  mean_ += (value - mean_) / count_;
  sum_ += value - mean_ - tolerance_;
  least_ = std::min(least_, sum_);
  return statistic() > threshold_;
}

}  // namespace gyle
