#include "config/batch_validation.h"

#include <fmt/format.h>

#include "base/text.h"

namespace gyle {
namespace {

auto wrong(const std::string& key, const std::string& what) {
  return fail(Errc::out_of_range, fmt::format("{}: {}", key, what));
}

// Comparisons are written so that NaN fails them.
bool within(double value, double low, double high) { return value >= low && value <= high; }
bool is_beer_temperature(Celsius t) { return within(t.value, -5, 50); }

Status check(const Hold& hold, const std::string& path) {
  if (!is_beer_temperature(hold.temperature))
    return wrong(path + ".hold", "between -5 and 50 °C is expected");
  const std::string until = path + ".until";
  if (const auto* progress = std::get_if<UntilProgress>(&hold.until)) {
    if (!(progress->fraction > 0 && progress->fraction <= 1.5)) {
      return wrong(until, "progress is a fraction of the expected fall, above 0 and up to 1.5");
    }
  } else if (const auto* attenuation = std::get_if<UntilAttenuation>(&hold.until)) {
    if (!(attenuation->apparent > 0 && attenuation->apparent < 1.1)) {
      return wrong(until, "apparent attenuation is a fraction above 0 and below 1.1");
    }
  } else if (const auto* length = std::get_if<UntilDays>(&hold.until)) {
    if (!(length->days > 0 && length->days <= 366)) return wrong(until, "days is above 0 and up to 366");
  } else if (const auto* gravity = std::get_if<UntilGravity>(&hold.until)) {
    const auto checked = SpecificGravity::from(gravity->gravity.value());
    if (!checked) return wrong(until, checked.error().message);
  }
  return success();
}

Status check(const Addition& addition, const BatchSpec& batch, const std::string& path) {
  if (addition.time < batch.pitched) {
    return wrong(path + ".at",
                 "it lies before the pitch; what went into the wort is in the original gravity");
  }
  if (!within(addition.amount, 1e-6, 10000))
    return wrong(path + ".amount", "above 0 and up to 10000 is expected");
  const bool fruit = addition.kind == AdditionKind::fruit;
  if (fruit ? !(addition.sugar_share > 0 && addition.sugar_share <= 1) : addition.sugar_share != 0) {
    return wrong(path + ".sugar", fruit ? "the share of the fruit's mass that is sugar, such as 0.1 for 10 %"
                                        : "only fruit has a share of sugar");
  }
  if (addition.kind == AdditionKind::dry_hops) return success();
  if (!batch.volume_l) return wrong("volume", "it is needed to know what an addition does to the gravity");
  if (!(addition.amount <= *batch.volume_l)) return wrong(path + ".amount", "more than the beer itself");
  return success();
}

}  // namespace

Status validate(const BatchSpec& batch) {
  constexpr std::size_t kLongestName = 200;
  if (!is_name(batch.name, kLongestName)) {
    return wrong("name", fmt::format("1 to {} characters on one line are expected, none of them invisible",
                                     kLongestName));
  }
  const auto year = std::chrono::year_month_day(std::chrono::floor<std::chrono::days>(batch.pitched)).year();
  if (year < std::chrono::year(1990) || year > std::chrono::year(2200)) {
    return wrong("pitched", "a year from 1990 to 2200 is expected");
  }
  if (batch.original_gravity) {
    const auto checked = SpecificGravity::from(batch.original_gravity->value());
    if (!checked) return wrong("original_gravity", checked.error().message);
    if (!(batch.original_gravity->value() > 1.005)) {
      return wrong("original_gravity", "above 1.005 is expected; there is no extract to ferment");
    }
  }
  if (batch.volume_l && !(*batch.volume_l > 0 && *batch.volume_l <= 10000)) {
    return wrong("volume", "above 0 and up to 10000 L is expected");
  }
  const Yeast& yeast = batch.yeast;
  if (!yeast.name.empty() && !is_name(yeast.name, kLongestName)) {
    return wrong("yeast.name", fmt::format("at most {} characters on one line are expected", kLongestName));
  }
  if (!(yeast.attenuation_low > 0 && yeast.attenuation_low <= yeast.attenuation_high &&
        yeast.attenuation_high < 1.1)) {
    return wrong("yeast.attenuation",
                 "two fractions, low and high, are expected, such as [0.73, 0.79] for 73 to 79 %");
  }
  if (!is_beer_temperature(yeast.temperature_low) || !is_beer_temperature(yeast.temperature_high) ||
      !(yeast.temperature_low < yeast.temperature_high)) {
    return wrong("yeast.temperature",
                 "low and high between -5 and 50 °C are expected, such as [\"16 C\", \"22 C\"]");
  }
  const FinalGravityRule& rule = batch.final_gravity;
  if (rule.window < hours(1) || rule.window > days(60)) {
    return wrong("final_gravity.window", "between 1 h and 60 d is expected");
  }
  if (!(rule.tolerance.value > 0 && rule.tolerance.value <= 10)) {
    return wrong("final_gravity.tolerance", "above 0 and up to 0.010 SG is expected");
  }
  if (batch.plan.size() > 50) return wrong("plan", "at most 50 holds are expected");
  for (std::size_t i = 0; i < batch.plan.size(); ++i) {
    BOOST_OUTCOME_TRYV(check(batch.plan[i], fmt::format("plan[{}]", i + 1)));
  }
  if (batch.additions.size() > 100) return wrong("addition", "at most 100 additions are expected");
  for (std::size_t i = 0; i < batch.additions.size(); ++i) {
    BOOST_OUTCOME_TRYV(check(batch.additions[i], batch, fmt::format("addition[{}]", i + 1)));
  }
  return success();
}

}  // namespace gyle
