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

  // Bytes a day; 0 when it does not fill. Only what is both usual (the median hour) and lasting (from the
  // first to the last) counts: a large file that was copied there once is no trend, nor is a log that is
  // thrown away every night. Nothing before a day has been seen.
  std::optional<double> per_day() const;

 private:
  struct Sample {
    Duration at;
    double free_bytes;
  };
  std::deque<Sample> hourly_;
};

}  // namespace gyle
