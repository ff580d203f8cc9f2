#include "app/disk_growth.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace gyle;

namespace {

constexpr double kMega = 1e6;

// The growth seen after `length` of looks every ten minutes; `free_mb` of the hours since the first.
template <class F>
std::optional<double> seen(Duration length, F&& free_mb) {
  DiskGrowth growth;
  const Duration boot = hours(5);
  for (Duration t{}; t <= length; t += minutes(10)) {
    growth.observe(boot + t, static_cast<std::uint64_t>(free_mb(in_hours(t)) * kMega));
  }
  return growth.per_day();
}

}  // namespace

TEST_CASE("a disk that fills steadily is noticed after a day") {
  const auto steady = [](double h) { return 1000 - h; };
  CHECK_FALSE(seen(hours(23), steady));
  CHECK(seen(hours(24), steady).value() == Approx(24 * kMega));
  CHECK(seen(days(30), [](double h) { return 10000 - 12 * h / 24; }).value() == Approx(12 * kMega));
}

TEST_CASE("the last week counts") {
  const auto since = [](double h) { return h < 24 * 10 ? 5000 - h : 5000 - 240 - 4 * (h - 240); };
  CHECK(seen(days(10), since).value() == Approx(24 * kMega));
  CHECK(seen(days(18), since).value() == Approx(96 * kMega));
}

TEST_CASE("a disk that does not fill has no growth") {
  CHECK(seen(days(3), [](double) { return 1000; }).value() == 0);
  CHECK(seen(days(3), [](double h) { return 1000 + h; }).value() == 0);
}

TEST_CASE("a large file that was copied once is no trend") {
  CHECK(seen(days(4), [](double h) { return h < 40 ? 9000 : 1000; }).value() == 0);
}

TEST_CASE("a log that is deleted every night is no trend") {
  // 240 MB written in a day, and deleted.
  const double growth =
      seen(days(5), [](double h) { return 1000 - 10 * (h - 24 * std::floor(h / 24)); }).value();
  CHECK(growth < 5 * kMega);
}
