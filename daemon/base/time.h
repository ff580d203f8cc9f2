#pragma once

#include <chrono>

namespace gyle {

// An instant: milliseconds since the Unix epoch, UTC, leap seconds not counted (POSIX).
using Time = std::chrono::time_point<std::chrono::system_clock, std::chrono::milliseconds>;
using Duration = std::chrono::milliseconds;

using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;
constexpr Duration days(int n) { return hours(24) * n; }

// Length in hours or days as a real number; negative when `d` is.
constexpr double in_hours(Duration d) { return static_cast<double>(d.count()) / 3.6e6; }
constexpr double in_days(Duration d) { return in_hours(d) / 24.0; }
constexpr double in_seconds(Duration d) { return static_cast<double>(d.count()) / 1e3; }

// Rounded to the millisecond. `h` must be finite and below 1e9 in size.
constexpr Duration from_hours(double h) {
  const double ms = h * 3.6e6;
  return Duration(static_cast<Duration::rep>(ms < 0 ? ms - 0.5 : ms + 0.5));
}

}  // namespace gyle
