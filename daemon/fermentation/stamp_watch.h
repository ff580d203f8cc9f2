#pragma once

#include <optional>

namespace gyle {

// Whether a sensor's clock is wrong: one whose messages are all stamped about equally far from the present.
// Readings that waited during an outage are late as well, but each by another length.
//   units  hours
//   tests  unit/fermentation/stamp_watch_test.cpp
class StampWatch {
 public:
  void good() { run_ = 0; }  // a stamp of the present
  // A stamp that is of no use: `by_h` ahead of the present, negative behind it.
  void off(double now_h, double by_h);

  // How far its clock is ahead of the present, negative behind it; absent while nothing is wrong with it.
  std::optional<double> off_by_h() const;
  int messages() const { return run_; }  // in a row that said so

 private:
  int run_ = 0;
  double first_h_ = 0;
  double last_h_ = 0;
  double by_h_ = 0;
};

}  // namespace gyle
