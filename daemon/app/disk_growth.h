#pragma once

#include <cstdint>
#include <deque>
#include <optional>

#include "base/time.h"

namespace gyle {

// How fast a disk fills, whoever fills it, seen from its free room over the last week.
class DiskGrowth {
 public:
  // `since_boot` must not go back.
  void observe(Duration since_boot, std::uint64_t free_bytes);

  // Bytes a day; 0 when it does not fill. The smaller of the usual growth (the median hour) and the lasting
  // growth (from the first hour to the last): one large file is no trend, nor is a log that is deleted every
  // night. Absent until a whole day has been observed.
  std::optional<double> per_day() const;

 private:
  struct Sample {
    Duration at;
    double free_bytes;
  };
  std::deque<Sample> hourly_;
};

}  // namespace gyle
