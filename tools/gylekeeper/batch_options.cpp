#include "batch_options.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "config/batch_validation.h"
#include "hold_text.h"
#include "units/quantity_text.h"
#include "units/refractometer.h"

namespace gyle {

bool BatchOptions::any() const {
  return !name.empty() || original_gravity || refractometer || volume || yeast || attenuation ||
         yeast_range || !holds.empty();
}

std::vector<Argument> batch_arguments(BatchOptions& options) {
  return {{.name = "--name", .place = &options.name, .about = "what the batch is called"},
          {.name = "--original-gravity",
           .place = &options.original_gravity,
           .about = "1.048, or \"12 P\"; inferred if not given"},
          {.name = "--refractometer",
           .place = &options.refractometer,
           .about = "instead, what a refractometer shows of the wort in degrees Brix or Plato, as 12.4",
           .excludes = {"--original-gravity"}},
          wort_correction_argument(&options.wort_correction),
          {.name = "--volume", .place = &options.volume, .about = "\"12 L\" or \"3.2 gal\""},
          {.name = "--yeast", .place = &options.yeast, .about = "what the yeast is called"},
          {.name = "--attenuation",
           .place = &options.attenuation,
           .about = "expected apparent attenuation, low:high, as 0.71:0.78",
           .value = "LOW:HIGH"},
          {.name = "--yeast-range",
           .place = &options.yeast_range,
           .about = "the yeast's temperature range, low:high, as \"15 C:21 C\"",
           .value = "LOW:HIGH"},
          {.name = "--hold",
           .place = &options.holds,
           .about = "a temperature of the plan and what ends it, once for each hold in order: \"17 C until "
                    "75 % of the fall\" (the expected one), \"17 C until 58 % attenuation\", \"18 C until "
                    "1.014\", \"11 C for 9 d\", \"20 C until final gravity\""}};
}

namespace {

Error of_option(std::string_view option, const Error& error) {
  return Error{error.code, fmt::format("{}: {}", option, error.message)};
}

Status apply_gravity(const BatchOptions& options, BatchSpec& batch) {
  if (options.original_gravity) {
    const auto gravity = parse_gravity(*options.original_gravity);
    if (!gravity) return of_option("--original-gravity", gravity.error());
    batch.original_gravity = gravity.value();
  }
  if (!options.refractometer) return success();
  double correction = kWortCorrection;
  if (options.wort_correction) {
    const auto wanted = parse_number(*options.wort_correction);
    if (!wanted) return of_option("--wort-correction", wanted.error());
    correction = wanted.value();
  }
  const auto reading = parse_number(*options.refractometer);
  if (!reading) return of_option("--refractometer", reading.error());
  const auto gravity = refractometer_wort_gravity(reading.value(), correction);
  if (!gravity) return of_option("--refractometer", gravity.error());
  batch.original_gravity = gravity.value();
  return success();
}

Status apply_attenuation(const std::string& text, Yeast& yeast) {
  BOOST_OUTCOME_TRY(band, parse_range(text, "0.71:0.78"));
  BOOST_OUTCOME_TRY(low, parse_number(band.low));
  BOOST_OUTCOME_TRY(high, parse_number(band.high));
  yeast.attenuation_low = low;
  yeast.attenuation_high = high;
  yeast.attenuation_given = true;
  return success();
}

Status apply_yeast_range(const std::string& text, Yeast& yeast) {
  BOOST_OUTCOME_TRY(range, parse_range(text, "\"15 C:21 C\""));
  BOOST_OUTCOME_TRY(low, parse_temperature(range.low));
  BOOST_OUTCOME_TRY(high, parse_temperature(range.high));
  yeast.temperature_low = low;
  yeast.temperature_high = high;
  return success();
}

}  // namespace

Status apply(const BatchOptions& options, BatchSpec& batch) {
  if (!options.name.empty()) batch.name = options.name;
  if (options.yeast) batch.yeast.name = *options.yeast;
  BOOST_OUTCOME_TRYV(apply_gravity(options, batch));
  if (options.volume) {
    const auto litres = parse_volume_litres(*options.volume);
    if (!litres) return of_option("--volume", litres.error());
    batch.volume_l = litres.value();
  }
  if (options.attenuation) {
    if (const auto right = apply_attenuation(*options.attenuation, batch.yeast); !right) {
      return of_option("--attenuation", right.error());
    }
  }
  if (options.yeast_range) {
    if (const auto right = apply_yeast_range(*options.yeast_range, batch.yeast); !right) {
      return of_option("--yeast-range", right.error());
    }
  }
  if (!options.holds.empty()) batch.plan.clear();
  for (const std::string& text : options.holds) {
    const auto hold = parse_hold(text);
    if (!hold) return of_option("--hold", hold.error());
    batch.plan.push_back(hold.value());
  }
  return success();
}

Status validate_options(const BatchSpec& batch) {
  const auto valid = validate(batch);
  if (valid) return success();
  const std::string& message = valid.error().message;
  const std::size_t colon = std::min(message.find(": "), message.size());
  const std::string key = message.substr(0, colon);
  std::string what = message.substr(std::min(colon + 2, message.size()));
  if (key.starts_with("plan[")) {
    const std::string number = key.substr(5, key.find(']') - 5);
    return Error{valid.error().code, fmt::format("--hold number {}: {}", number, what)};
  }
  struct Row {
    std::string_view key, option, instead;
  };
  constexpr std::array<Row, 7> kOptions{
      {{"name", "--name", ""},
       {"pitched", "--pitched", ""},
       {"original_gravity", "--original-gravity", ""},
       {"volume", "--volume", ""},
       {"yeast.name", "--yeast", ""},
       {"yeast.attenuation", "--attenuation", "two fractions, low:high, are expected, such as 0.71:0.78"},
       {"yeast.temperature", "--yeast-range",
        "low:high, between -5 and 50 °C, is expected, such as \"15 C:21 C\""}}};
  for (const Row& row : kOptions) {
    if (key != row.key) continue;
    if (!row.instead.empty()) what = row.instead;
    return Error{valid.error().code, fmt::format("{}: {}", row.option, what)};
  }
  return valid.error();
}

}  // namespace gyle
