#include "app/disk_growth.h"

#include <algorithm>
#include <vector>

#include "series/robust_statistics.h"

namespace gyle {

void DiskGrowth::observe(Duration since_boot, std::uint64_t free_bytes) {
  if (!hourly_.empty() && since_boot - hourly_.back().at < hours(1)) return;
  hourly_.push_back({since_boot, static_cast<double>(free_bytes)});
  while (since_boot - hourly_.front().at > days(7)) hourly_.pop_front();
}

std::optional<double> DiskGrowth::per_day() const {
  if (hourly_.empty() || hourly_.back().at - hourly_.front().at < days(1)) return std::nullopt;
  const auto fall = [](const Sample& from, const Sample& to) {
    return (from.free_bytes - to.free_bytes) / in_days(to.at - from.at);
  };
  std::vector<double> falls;
  for (std::size_t i = 1; i < hourly_.size(); ++i) falls.push_back(fall(hourly_[i - 1], hourly_[i]));
  return std::max(0.0, std::min(median_in_place(falls), fall(hourly_.front(), hourly_.back())));
}

}  // namespace gyle
