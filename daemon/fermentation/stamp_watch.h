#pragma once

#include <optional>

namespace gyle {

// Whether a sensor's clock is wrong: all its messages are stamped about equally far from the present.
// Readings that were kept during an outage are late as well, but each by a different length.
//   units  hours
//   tests  unit/fermentation/stamp_watch_test.cpp
class StampWatch {
 public:
  void good() { run_ = 0; }
  // A useless stamp: `by_h` ahead of the present, negative behind it.
  void off(double now_h, double by_h);

  // How far its clock is ahead, negative behind; absent while it is right.
  std::optional<double> off_by_h() const;
  int messages() const { return run_; }  // in a row with such a stamp

 private:
  int run_ = 0;
  double first_h_ = 0;
  double last_h_ = 0;
  double by_h_ = 0;
};

}  // namespace gyle
