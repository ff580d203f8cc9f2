#pragma once

#include <cstddef>
#include <vector>

#include "fermentation/tracker.h"
#include "fermentation/view.h"

namespace gyle {

// The course of a batch, for pictures and tables: the outcomes of its Tracker.
//   bounded  no more than `most` points in each list: a longer one is thinned to half (series/thinning.h),
//            and `whole` is false from then on
//   pure     the same outcomes in the same order give the same trace
class BatchTrace {
 public:
  // 139 days of one reading a minute; 16 MB of curve.
  static constexpr std::size_t kMost = 200'000;

  explicit BatchTrace(std::size_t most = kMost) : most_(most) {}

  void add(const Outcome& outcome);

  // The same picture with no more than `most` points in each list but that of the samples.
  BatchTrace reduced(std::size_t most) const;
  // What a trace has given away; `whole`: as it said of itself.
  static BatchTrace of(const Outcome& outcomes, bool whole);

  // Each in order of time.
  const std::vector<CurvePoint>& curve() const { return curve_; }
  const std::vector<UsedReading>& beer() const { return beer_; }        // temperature, degC
  const std::vector<UsedReading>& ambient() const { return ambient_; }  // temperature, degC
  const std::vector<UsedReading>& samples() const { return samples_; }  // SG
  bool whole() const { return whole_; }
  std::size_t size() const { return curve_.size() + beer_.size() + ambient_.size() + samples_.size(); }

 private:
  std::size_t most_;
  std::vector<CurvePoint> curve_;
  std::vector<UsedReading> beer_;
  std::vector<UsedReading> ambient_;
  std::vector<UsedReading> samples_;
  bool whole_ = true;
};

}  // namespace gyle
