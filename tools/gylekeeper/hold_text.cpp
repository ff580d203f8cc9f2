#include "hold_text.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "base/text.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

Result<HoldEnd> parse_until(std::string_view text) {
  if (text == "final gravity" || text == "final-gravity") return UntilFinalGravity{};
  if (const std::size_t sign = text.find('%'); sign != std::string_view::npos) {
    BOOST_OUTCOME_TRY(percent, parse_number(trimmed(text.substr(0, sign))));
    const std::string_view of = trimmed(text.substr(sign + 1));
    if (of == "of the fall") return UntilProgress{percent / 100};
    if (of == "attenuation") return UntilAttenuation{percent / 100};
    return fail(Errc::malformed, fmt::format("'{}' does not say of what: write \"75 % of the fall\" (the "
                                             "expected one) or \"58 % attenuation\" (apparent)",
                                             text));
  }
  BOOST_OUTCOME_TRY(gravity, parse_gravity(text));
  return UntilGravity{gravity};
}

}  // namespace

Result<Hold> parse_hold(std::string_view text) {
  const std::size_t until = text.find(" until ");
  const std::size_t lasts = text.find(" for ");
  if (until == std::string_view::npos && lasts == std::string_view::npos) {
    return fail(
        Errc::malformed,
        fmt::format(
            "the hold '{}' does not say what ends it; write for example \"17 C until 75 % of the fall\", "
            "\"11 C for 9 d\" or \"20 C until final gravity\"",
            text));
  }
  BOOST_OUTCOME_TRY(temperature, parse_temperature(text.substr(0, std::min(until, lasts))));
  if (until != std::string_view::npos) {
    BOOST_OUTCOME_TRY(end, parse_until(trimmed(text.substr(until + 7))));
    return Hold{temperature, end};
  }
  BOOST_OUTCOME_TRY(length, parse_duration(trimmed(text.substr(lasts + 5))));
  return Hold{temperature, UntilDays{in_days(length)}};
}

Result<TwoTexts> parse_range(std::string_view text, std::string_view example) {
  const std::size_t colon = text.find(':');
  if (colon == std::string_view::npos || text.find(':', colon + 1) != std::string_view::npos) {
    return fail(Errc::malformed, fmt::format("'{}' is not low:high; write for example {}", text, example));
  }
  return TwoTexts{trimmed(text.substr(0, colon)), trimmed(text.substr(colon + 1))};
}

Result<double> parse_number(std::string_view text) {
  double number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(number)) {
    return fail(Errc::malformed, fmt::format("'{}' is not a number such as 75", text));
  }
  return number;
}

}  // namespace gyle
