#pragma once

#include <deque>
#include <optional>

#include "fermentation/view.h"

namespace gyle {

// Whether one battery is nearly empty, and when it will be if it keeps falling as in the last days.
//   forecast  a Huber line through means of six hours of the last ten days, and where it meets the voltage at
//             which such a battery is nearly empty, with Fieller's 80 % interval; autocorrelated residuals
//             widen it. Batteries fall fast, then hardly, then fast again: while the slope of the newest half
//             differs from that of the whole, the older half is dropped. Absent without a significant fall.
//   change    a voltage that has risen far and stays there is another battery, or a charged one: everything
//             starts from the beginning
//   units     hours since the pitch, V
//   cost      O(1) per reading, a fit every six hours; at most 42 means
//   source    Huber 1964; Fieller 1954
//   tests     unit/fermentation/battery_watch_test.cpp
class BatteryWatch {
 public:
  // Times that do not advance are ignored: delivered twice, or late.
  void offer(double time_h, double volt);

  std::optional<double> volt() const { return volt_; }
  bool nearly_empty() const;  // by several readings
  bool far_from_empty() const { return low_count_ == 0; }
  std::optional<Interval> empty_h() const { return empty_h_; }  // when it will be nearly empty
  int changes() const { return changes_; }                      // of the battery, so far

 private:
  struct Mean {
    double time_h;
    double volt;
  };
  void close();
  void forecast();
  bool is_another(double volt);

  std::optional<double> volt_;
  double last_h_ = 0;
  double most_ = 0;
  int low_count_ = 0;
  int higher_count_ = 0;
  int changes_ = 0;
  std::deque<Mean> means_;
  Mean open_{0, 0};  // sums
  int open_count_ = 0;
  double open_bin_ = 0;
  std::optional<Interval> empty_h_;
};

}  // namespace gyle
