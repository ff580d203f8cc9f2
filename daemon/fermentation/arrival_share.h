#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace gyle {

// The share of one sensor's messages that arrives, against its own rhythm: the median of its last gaps, which
// does not change while fewer than half are lost.
//   units  hours
//   cost   O(1), about 400 bytes
//   tests  unit/fermentation/arrival_share_test.cpp
class ArrivalShare {
 public:
  // A message measured at `time_h`; ignored when time does not advance: delivered twice, or late.
  void heard(double time_h);

  // Of the messages expected over the last day, or since it was first heard. Absent while fewer than a dozen
  // are expected.
  std::optional<double> share(double now_h) const;
  // Over the last day, up to now.
  std::optional<double> longest_gap_h(double now_h) const;

 private:
  static constexpr std::size_t kHours = 24;
  struct Hour {
    std::int64_t number = INT64_MIN;
    int messages = 0;
    double longest_gap_h = 0;  // of those that ended in it
  };
  static std::int64_t number_of(double time_h);
  const Hour* hour(std::int64_t number) const;

  std::optional<double> first_h_;
  double last_h_ = 0;
  std::array<Hour, kHours> hours_;
  std::array<double, 15> gaps_{};
  std::size_t gap_count_ = 0;  // ever
};

}  // namespace gyle
