#include "brewday/beer_colour.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/text.h"
#include "units/us_customary.h"

namespace gyle {
namespace {

constexpr double kMosherFrom = 7;  // malt colour units

double lovibond(double ebc) { return std::max(0.0, (ebc / kEbcPerSrm + 0.76) / 1.3546); }
double ebc_of_lovibond(double degrees) { return std::max(0.0, (1.3546 * degrees - 0.76) * kEbcPerSrm); }

}  // namespace

Result<double> parse_malt_colour(std::string_view text) {
  const std::string_view whole = trimmed(text);
  double number = 0;
  const auto [end, error] = std::from_chars(whole.data(), whole.data() + whole.size(), number);
  const std::string unit = lower_case(trimmed(whole.substr(static_cast<std::size_t>(end - whole.data()))));
  if (error != std::errc{} || !std::isfinite(number) ||
      (unit != "ebc" && unit != "l" && unit != "lovibond")) {
    return fail(
        Errc::malformed,
        fmt::format("'{}' is no colour of malt; write \"6 EBC\" or \"3 L\" (Lovibond)", text.substr(0, 40)));
  }
  const double ebc = unit == "ebc" || number < 0 ? number : ebc_of_lovibond(number);
  if (ebc >= 0 && ebc <= 2000) return ebc;
  return fail(Errc::out_of_range, fmt::format("{} is outside 0 to 2000 EBC", text.substr(0, 40)));
}

std::optional<BeerColour> beer_colour(std::span<const Fermentable> all, double volume_l) {
  double units = 0;
  for (const Fermentable& one : all) {
    if (!one.colour_ebc) return std::nullopt;
    units += one.mass_kg / kKgPerPound * lovibond(*one.colour_ebc) * kLitresPerUsGallon / volume_l;
  }
  BeerColour colour{1.4922 * std::pow(units, 0.6859) * kEbcPerSrm, {}};
  if (units >= kMosherFrom) colour.mosher_ebc = (0.3 * units + 4.7) * kEbcPerSrm;
  return colour;
}

}  // namespace gyle
