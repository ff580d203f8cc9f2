#include "batch_options.h"

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
           .about = "in its place, what a refractometer shows of the wort: degrees Brix or Plato, as 12.4",
           .excludes = {"--original-gravity"}},
          {.name = "--wort-correction",
           .place = &options.wort_correction,
           .about = "of the refractometer; 1.04 when not given",
           .needs = {"--refractometer"}},
          {.name = "--volume", .place = &options.volume, .about = "\"20 L\" or \"5.5 gal\""},
          {.name = "--yeast", .place = &options.yeast, .about = "what the yeast is called"},
          {.name = "--attenuation",
           .place = &options.attenuation,
           .about = "expected apparent attenuation, low:high, as 0.73:0.79",
           .value = "LOW:HIGH"},
          {.name = "--yeast-range",
           .place = &options.yeast_range,
           .about = "temperatures the yeast is happy in, low:high, as \"16 Cel:22 Cel\"",
           .value = "LOW:HIGH"},
          {.name = "--hold",
           .place = &options.holds,
           .about = "a temperature of the plan and what ends it, once for each hold in order: \"18 Cel until "
                    "75 %\" (of the "
                    "expected attenuation), \"20 Cel until 1.014\", \"12 Cel for 7 d\", \"22 Cel until final "
                    "gravity\""}};
}

Status apply(const BatchOptions& options, BatchSpec& batch) {
  if (!options.name.empty()) batch.name = options.name;
  if (options.yeast) batch.yeast.name = *options.yeast;
  if (options.original_gravity) {
    BOOST_OUTCOME_TRY(gravity, parse_gravity(*options.original_gravity));
    batch.original_gravity = gravity;
  }
  if (options.refractometer) {
    BOOST_OUTCOME_TRY(reading, parse_number(*options.refractometer));
    double correction = kWortCorrection;
    if (options.wort_correction) {
      BOOST_OUTCOME_TRY(wanted, parse_number(*options.wort_correction));
      correction = wanted;
    }
    BOOST_OUTCOME_TRY(gravity, refractometer_wort_gravity(reading, correction));
    batch.original_gravity = gravity;
  }
  if (options.volume) {
    BOOST_OUTCOME_TRY(litres, parse_volume_litres(*options.volume));
    batch.volume_l = litres;
  }
  if (options.attenuation) {
    BOOST_OUTCOME_TRY(band, parse_range(*options.attenuation, "0.73:0.79"));
    BOOST_OUTCOME_TRY(low, parse_number(band.low));
    BOOST_OUTCOME_TRY(high, parse_number(band.high));
    batch.yeast.attenuation_low = low;
    batch.yeast.attenuation_high = high;
    batch.yeast.attenuation_given = true;
  }
  if (options.yeast_range) {
    BOOST_OUTCOME_TRY(range, parse_range(*options.yeast_range, "\"16 Cel:22 Cel\""));
    BOOST_OUTCOME_TRY(low, parse_temperature(range.low));
    BOOST_OUTCOME_TRY(high, parse_temperature(range.high));
    batch.yeast.temperature_low = low;
    batch.yeast.temperature_high = high;
  }
  if (!options.holds.empty()) batch.plan.clear();
  for (const std::string& text : options.holds) {
    BOOST_OUTCOME_TRY(hold, parse_hold(text));
    batch.plan.push_back(hold);
  }
  return success();
}

}  // namespace gyle
