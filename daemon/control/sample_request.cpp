#include "control/sample_request.h"

#include <fmt/format.h>

#include <charconv>

#include "units/hydrometer.h"
#include "units/quantity_text.h"
#include "units/refractometer.h"

namespace gyle {
namespace {

Result<double> number(const std::string& text, const char* what) {
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (error == std::errc{} && stop == end) return value;
  return fail(Errc::malformed, fmt::format("the {} must be a number, not '{}'", what, text));
}

}  // namespace

Result<SpecificGravity> sample_gravity(const std::map<std::string, std::string, std::less<>>& query,
                                       std::optional<SpecificGravity> original) {
  const auto given = [&query](std::string_view name) -> const std::string* {
    const auto found = query.find(name);
    return found == query.end() ? nullptr : &found->second;
  };
  const std::string* const hydrometer = given("gravity");
  const std::string* const refractometer = given("refractometer");
  if ((hydrometer == nullptr) == (refractometer == nullptr)) {
    return fail(Errc::missing, "say either the gravity or the reading of the refractometer");
  }
  const std::string* const temperature = given("temperature");
  const std::string* const calibrated = given("calibrated_at");
  if (refractometer != nullptr) {
    if (temperature != nullptr || calibrated != nullptr) {
      return fail(Errc::conflict,
                  "a refractometer corrects for temperature itself; a temperature goes with a hydrometer");
    }
    if (!original) {
      return fail(Errc::missing,
                  "a refractometer reading of fermenting beer needs the original gravity, and this batch was "
                  "pitched without one; use a hydrometer");
    }
    BOOST_OUTCOME_TRY(reading, number(*refractometer, "reading of the refractometer"));
    double correction = kWortCorrection;
    if (const std::string* const text = given("wort_correction")) {
      BOOST_OUTCOME_TRY(wanted, number(*text, "wort correction"));
      correction = wanted;
    }
    return refractometer_gravity(reading, *original, correction);
  }
  BOOST_OUTCOME_TRY(reading, parse_gravity(*hydrometer));
  if (temperature == nullptr) {
    if (calibrated != nullptr) {
      return fail(Errc::missing, "the temperature of the sample is missing; without it nothing is corrected");
    }
    return reading;
  }
  BOOST_OUTCOME_TRY(taken_at, parse_temperature(*temperature));
  Celsius calibrated_at{20};
  if (calibrated != nullptr) {
    BOOST_OUTCOME_TRY(parsed, parse_temperature(*calibrated));
    calibrated_at = parsed;
  }
  return corrected_hydrometer_reading(reading, taken_at, calibrated_at);
}

}  // namespace gyle
