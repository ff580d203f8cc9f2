#include "control/sample_routes.h"

#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
#include "control/paging.h"
#include "control/view_json.h"
#include "units/hydrometer.h"
#include "units/quantity_text.h"
#include "units/refractometer.h"
#include "wording/format.h"
#include "wording/sample_lines.h"

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

Result<MeasuredGravity> sample_gravity(const std::map<std::string, std::string, std::less<>>& query,
                                       std::optional<SpecificGravity> original,
                                       const DisplaySettings& display) {
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
    const std::string* const wort = given("wort");
    if (wort != nullptr && *wort != "true" && *wort != "false") {
      return fail(Errc::malformed, fmt::format("'wort' must be true or false, not '{}'", *wort));
    }
    const bool unfermented = wort != nullptr && *wort == "true";
    if (!unfermented && !original) {
      return fail(
          Errc::missing,
          "a refractometer reading of fermenting beer needs the original gravity, and this batch was "
          "pitched without one; use a hydrometer, or say that it is wort that has not begun to ferment");
    }
    BOOST_OUTCOME_TRY(reading, number(*refractometer, "reading of the refractometer"));
    double correction = kWortCorrection;
    if (const std::string* const text = given("wort_correction")) {
      BOOST_OUTCOME_TRY(wanted, number(*text, "wort correction"));
      correction = wanted;
    }
    if (unfermented) {
      BOOST_OUTCOME_TRY(gravity, refractometer_wort_gravity(reading, correction));
      return MeasuredGravity{
          gravity,
          fmt::format("The refractometer shows {:g}; by the wort correction, {:g}, that is {:.1f} °P.",
                      reading, correction, reading / correction)};
    }
    BOOST_OUTCOME_TRY(gravity, refractometer_gravity(reading, *original, correction));
    const bool cubic = refractometer_by_cubic(reading, *original, correction);
    return MeasuredGravity{
        gravity,
        fmt::format(
            "The refractometer shows {:g} with alcohol in the beer; corrected for that {}, with the original "
            "gravity {} and the wort correction {:g}. It can be {}.",
            reading,
            cubic
                ? "by the cubic that S. Terrill fitted to finished beers in 2010, from memory"
                : "along a straight line of ours from the original gravity to where a fit to finished beers "
                  "begins, for this reading is of no finished beer",
            show_gravity(original->value(), display), correction,
            cubic ? "two points wrong, before the end more" : "several points wrong")};
  }
  if (given("wort") != nullptr) {
    return fail(Errc::conflict, "'wort' goes with a refractometer; a hydrometer shows wort and beer alike");
  }
  BOOST_OUTCOME_TRY(reading, parse_gravity(*hydrometer));
  if (temperature == nullptr) {
    if (calibrated != nullptr) {
      return fail(Errc::missing, "the temperature of the sample is missing; without it nothing is corrected");
    }
    return MeasuredGravity{reading, ""};
  }
  BOOST_OUTCOME_TRY(taken_at, parse_temperature(*temperature));
  Celsius calibrated_at{20};
  if (calibrated != nullptr) {
    BOOST_OUTCOME_TRY(parsed, parse_temperature(*calibrated));
    calibrated_at = parsed;
  }
  BOOST_OUTCOME_TRY(gravity, corrected_hydrometer_reading(reading, taken_at, calibrated_at));
  return MeasuredGravity{gravity, fmt::format("The hydrometer, made for {}, shows {} at {}.",
                                              show_temperature(calibrated_at.value, display),
                                              show_gravity(reading.value(), display, 4),
                                              show_temperature(taken_at.value, display))};
}

namespace {

using Json = nlohmann::ordered_json;

}  // namespace

HttpResponse list_samples(const Call& call, const BatchRecord& batch) {
  const auto query = page_query(call, 100, 1000);
  if (!query) return problem(query.error());
  const auto samples = call.cellar.samples(batch.id);
  if (!samples) return problem(samples.error());
  Page page(query.value());
  Json lines = Json::array();
  for (const JournalEntry& sample : samples.value()) {
    const Cursor cursor{sample.number, 0};
    if (query.value().after && cursor <= *query.value().after) continue;
    if (!page.add({{"number", sample.number},
                   {"time", format_rfc3339(sample.reading.time)},
                   {"gravity_sg", sample.reading.value}},
                  cursor)) {
      break;
    }
    lines.push_back(fmt::format("{}  {}  {}", sample.number, show_time(sample.reading.time, call.display),
                                show_gravity(sample.reading.value, call.display, 4)));
  }
  if (lines.empty()) lines.push_back("No sample yet.");
  Json json{{"batch", batch.spec.name}, {"lines", std::move(lines)}};
  page.put(json, "samples");
  return json_response(json);
}

HttpResponse take_sample(const Call& call, const BatchRecord& before) {
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto measured = sample_gravity(call.target.query, before.spec.original_gravity, call.display);
  if (!measured) return problem(measured.error());
  const auto& [gravity, how] = measured.value();
  const auto after = call.cellar.sample(before.id, gravity, time.value());
  if (!after) return problem(after.error());
  Json lines = Json::array();
  if (!how.empty()) lines.push_back(how);
  for (const std::string& line : sample_lines(gravity, before.view, after.value().view, call.display)) {
    lines.push_back(line);
  }
  return json_response({{"batch", before.spec.name},
                        {"lines", std::move(lines)},
                        {"gravity_sg", gravity.value()},
                        {"before", to_json(before.view)},
                        {"after", to_json(after.value().view)}},
                       201);
}

}  // namespace gyle
