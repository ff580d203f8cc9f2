#include "fermentation/arrival_share.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "series/robust_statistics.h"

namespace gyle {
namespace {

constexpr double kSameMessageH = 0.003;  // several quantities of one message count once
constexpr double kFewestExpected = 12;
constexpr double kJitter = 1.25;  // of its rhythm: later a message is missing

}  // namespace

// Clamped to far more than event time can be.
std::int64_t ArrivalShare::number_of(double time_h) {
  return static_cast<std::int64_t>(std::floor(std::clamp(time_h, -1e9, 1e9)));
}

const ArrivalShare::Hour* ArrivalShare::hour(std::int64_t number) const {
  const Hour& one = hours_[static_cast<std::size_t>(number + 24'000'000'000) % kHours];
  return one.number == number ? &one : nullptr;
}

void ArrivalShare::heard(double time_h) {
  if (first_h_ && time_h - last_h_ <= kSameMessageH) return;
  const std::int64_t number = number_of(time_h);
  Hour& hour = hours_[static_cast<std::size_t>(number + 24'000'000'000) % kHours];
  if (hour.number != number) hour = {number, 0, 0};
  ++hour.messages;
  if (first_h_) {
    const double gap_h = time_h - last_h_;
    hour.longest_gap_h = std::max(hour.longest_gap_h, gap_h);
    gaps_[gap_count_++ % gaps_.size()] = gap_h;
  } else {
    first_h_ = time_h;
  }
  last_h_ = time_h;
}

std::optional<double> ArrivalShare::share(double now_h) const {
  if (!first_h_ || gap_count_ < 3) return std::nullopt;
  const std::int64_t newest = number_of(now_h);
  const double from_h = std::max(*first_h_, static_cast<double>(newest - static_cast<int>(kHours) + 1));
  const double rhythm_h = median(std::span(gaps_).first(std::min(gap_count_, gaps_.size())));
  // The message that is due now may still come.
  const double expected = std::max(0.0, now_h - from_h - (kJitter - 1) * rhythm_h) / rhythm_h;
  if (!(expected >= kFewestExpected)) return std::nullopt;
  int messages = 0;
  for (std::size_t i = 0; i < kHours; ++i) {
    const Hour* one = hour(newest - static_cast<std::int64_t>(i));
    if (one != nullptr) messages += one->messages;
  }
  return std::min(1.0, messages / expected);
}

std::optional<double> ArrivalShare::longest_gap_h(double now_h) const {
  if (gap_count_ == 0) return std::nullopt;
  double longest = now_h - last_h_;
  for (std::size_t i = 0; i < kHours; ++i) {
    const Hour* one = hour(number_of(now_h) - static_cast<std::int64_t>(i));
    if (one != nullptr) longest = std::max(longest, one->longest_gap_h);
  }
  return longest;
}

}  // namespace gyle
