#include "fermentation/stamp_watch.h"

#include <cmath>

namespace gyle {
namespace {

constexpr double kAlikeH = 0.5;
constexpr int kFewest = 4;
constexpr double kForH = 1;

}  // namespace

void StampWatch::off(double now_h, double by_h) {
  if (run_ == 0 || std::abs(by_h - by_h_) > kAlikeH) {
    run_ = 0;
    first_h_ = now_h;
    by_h_ = by_h;
  }
  ++run_;
  last_h_ = now_h;
}

std::optional<double> StampWatch::off_by_h() const {
  return run_ >= kFewest && last_h_ - first_h_ >= kForH ? std::optional(by_h_) : std::nullopt;
}

}  // namespace gyle
