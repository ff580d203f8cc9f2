#pragma once

namespace gyle {

// Detects that the mean of a series has shifted upwards (feed negated values for downwards).
//   test    U_t = sum of (x - running mean - tolerance); alarm when U_t exceeds its minimum so far, at
//           most 0, by more than the threshold
//   source  Page 1954; Hinkley 1971
class PageHinkley {
 public:
  // Both in the unit of the series; the threshold adds up over readings.
  PageHinkley(double tolerance, double threshold) : tolerance_(tolerance), threshold_(threshold) {}

  bool add(double value);  // true: alarm
  double mean() const { return mean_; }
  double statistic() const { return sum_ - least_; }
  int count() const { return count_; }
  void restart() { *this = PageHinkley(tolerance_, threshold_); }

 private:
  double tolerance_;
  double threshold_;
  double mean_ = 0;
  double sum_ = 0;
  double least_ = 0;
  int count_ = 0;
};

}  // namespace gyle
