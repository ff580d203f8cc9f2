#include "brewday/gravity_expected.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "units/density.h"
#include "units/us_customary.h"

namespace gyle {
namespace {

// The extract of a pound in a gallon of wort of this gravity, as a share of the pound.
Result<double> share_of_a_pound(double gravity) {
  BOOST_OUTCOME_TRY(checked, SpecificGravity::from(gravity));
  BOOST_OUTCOME_TRY(wort, wort_of(kLitresPerUsGallon, checked));
  return wort.extract_kg / kKgPerPound;
}

std::string_view without_spaces_before(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  return text;
}

}  // namespace

Result<double> parse_extract(std::string_view text, double moisture) {
  const std::string_view whole = without_spaces_before(text);
  double number = 0;
  const auto [end, error] = std::from_chars(whole.data(), whole.data() + whole.size(), number);
  const std::string_view unit =
      without_spaces_before(whole.substr(static_cast<std::size_t>(end - whole.data())));
  Result<double> share = fail(Errc::malformed, "");
  const bool is_number = error == std::errc{} && std::isfinite(number);
  if (is_number && unit == "%") {
    share = number / 100;
  } else if (is_number && unit == "% dry") {
    share = number / 100 * (1 - moisture);
  } else if (is_number && unit == "ppg") {
    share = share_of_a_pound(1 + number / 1000);
  } else if (is_number && (unit == "SG" || unit == "sg")) {
    share = share_of_a_pound(number);
  } else {
    return fail(Errc::malformed,
                fmt::format("'{}' is no extract; write \"80 %\", \"81 % dry\", \"37 ppg\" or \"1.037 SG\"",
                            text.substr(0, 40)));
  }
  // A sugar that is pure by definition may be written with a rounded number: 46.2 ppg is 100.1 %.
  if (share && share.value() > 1 && share.value() < 1.01) share = 1.0;
  if (!share || !(share.value() > 0 && share.value() <= 1)) {
    return fail(Errc::out_of_range,
                fmt::format("{} is not above 0 and up to the whole mass, which is 100 % or 46.2 ppg", text));
  }
  return share;
}

Result<ExpectedWort> expect_wort(const WaterNeeds& needs, const Potential& potential,
                                 double mash_efficiency) {
  if (!(mash_efficiency > 0 && mash_efficiency <= 1)) {
    return fail(Errc::out_of_range,
                fmt::format("an efficiency of {:.6g} cannot be; a fraction above 0 and up to 1 is expected",
                            mash_efficiency));
  }
  BOOST_OUTCOME_TRYV(plan_water(needs));
  const double mashed = potential.mash_kg * mash_efficiency;
  BOOST_OUTCOME_TRY(after, wort_with(needs.batch_l + needs.trub_l, mashed + potential.sugar_kg));
  const double boiled_away_kg =
      needs.evaporation_l_per_h * in_hours(needs.boil) * water_density(Celsius{100}) / 1000;
  return ExpectedWort{{after.mass_kg + boiled_away_kg - needs.sugar_kg, mashed}, after};
}

}  // namespace gyle
