#include "packaging/fill.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

const Time kFilled{days(20'000)};

double days_after(Time time) { return in_days(time - kFilled); }

Fill bottles_at(double celsius) {
  return {kFilled, Container::bottles, 22, 0.5, GasSource::priming, Celsius{celsius}};
}

}  // namespace

// Common practice, no source: bottles take about two weeks at room temperature, and longer where it is cooler.
TEST_CASE("a primed beer has its gas after two weeks at room temperature, later when it is cooler") {
  const auto at_20 = carbonated(bottles_at(20)).value();
  CHECK(days_after(at_20.value) == Approx(14));
  CHECK(days_after(at_20.low) == Approx(9));
  CHECK(days_after(at_20.high) == Approx(24));
  double longer = days_after(at_20.value);
  for (double celsius = 19; celsius >= kColdestPriming.value; celsius -= 1) {
    const auto when = carbonated(bottles_at(celsius)).value();
    CHECK(days_after(when.value) > longer);
    CHECK((when.low < when.value && when.value < when.high));
    longer = days_after(when.value);
  }
  CHECK(longer == Approx(28));
}

TEST_CASE("a primed beer that is kept too cold has no time, and heat beyond the warmest saves none") {
  CHECK_FALSE(carbonated(bottles_at(9.9)));
  CHECK(carbonated(bottles_at(40)).value().value ==
        carbonated(bottles_at(kWarmestPriming.value)).value().value);
}

TEST_CASE("a keg on a cylinder takes its gas cold, too") {
  Fill keg{kFilled, Container::keg, 1, 11, GasSource::cylinder, Celsius{4}};
  const auto when = carbonated(keg).value();
  CHECK(days_after(when.low) == Approx(4));
  CHECK(days_after(when.high) == Approx(12));
  keg.gas = GasSource::priming;
  CHECK_FALSE(carbonated(keg));
}

TEST_CASE("a fill has a possible count, size and temperature") {
  CHECK(bottles_at(20).litres() == Approx(11));
  CHECK(check_fill(bottles_at(20)));
  Fill fill = bottles_at(20);
  for (const int count : {0, -3, kMostContainers + 1}) {
    fill.count = count;
    CHECK(check_fill(fill).error().code == Errc::out_of_range);
  }
  fill = bottles_at(20);
  for (const double litres : {0.0, -1.0, kLargestContainer + 1}) {
    fill.litres_each = litres;
    CHECK(check_fill(fill).error().code == Errc::out_of_range);
  }
  CHECK_FALSE(check_fill(bottles_at(46)));
  CHECK_FALSE(check_fill(bottles_at(-3)));
}
