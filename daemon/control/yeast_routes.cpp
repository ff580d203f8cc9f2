#include "control/yeast_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "base/text.h"
#include "control/json_answer.h"
#include "wording/yeast_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Spread& spread) {
  Json json{{"count", spread.count}};
  if (spread.count == 0) return json;
  json["median"] = spread.median;
  json["low"] = spread.low;
  json["high"] = spread.high;
  if (spread.deviation) json["deviation"] = *spread.deviation;
  return json;
}

Json to_json(const YeastHistory& yeast) {
  const YeastSummary summary = summary_of(yeast.runs());
  const AttenuationBand band = expected_band(yeast);
  return {{"name", yeast.name},
          {"batches_counted", yeast.batches.size()},
          {"batches_not_counted", yeast.others},
          {"attenuation", to_json(summary.attenuation)},
          {"lag_days", to_json(summary.lag_days)},
          {"final_days", to_json(summary.final_days)},
          {"temperature_celsius", to_json(summary.celsius)},
          {"expected_attenuation_low", band.low},
          {"expected_attenuation_high", band.high}};
}

Json to_json(const YeastHistory::Batch& batch) {
  Json json{{"id", batch.id},
            {"name", batch.name},
            {"pitched", format_rfc3339(batch.pitched)},
            {"original_gravity_sg", batch.run.original_gravity},
            {"final_gravity_sg", batch.run.final_gravity},
            {"attenuation", batch.run.attenuation},
            {"final_days", batch.run.final_days}};
  if (batch.run.lag_days) json["lag_days"] = *batch.run.lag_days;
  if (batch.run.celsius) json["temperature_celsius"] = *batch.run.celsius;
  return json;
}

HttpResponse list_yeasts(const Call& call) {
  const auto yeasts = call.cellar.yeasts();
  if (!yeasts) return problem(yeasts.error());
  Json all = Json::array();
  for (const YeastHistory& yeast : yeasts.value()) all.push_back(to_json(yeast));
  return json_response(
      {{"lines", yeast_list_lines(yeasts.value(), call.display)}, {"yeasts", std::move(all)}});
}

HttpResponse one(const Call& call) {
  const auto yeasts = call.cellar.yeasts();
  if (!yeasts) return problem(yeasts.error());
  const auto found =
      std::find_if(yeasts.value().begin(), yeasts.value().end(),
                   [&](const YeastHistory& yeast) { return folded(yeast.name) == folded(call.segment(2)); });
  if (found == yeasts.value().end()) {
    std::string names;
    for (const YeastHistory& yeast : yeasts.value()) names += (names.empty() ? "" : ", ") + yeast.name;
    return problem(404, fmt::format("no batch has named a yeast '{}'; {}", call.segment(2),
                                    names.empty() ? "none has named any" : "there is " + names));
  }
  Json batches = Json::array();
  for (const YeastHistory::Batch& batch : found->batches) batches.push_back(to_json(batch));
  Json bands = Json::array();
  for (const YeastAtTemperature& band : by_temperature(found->runs())) {
    bands.push_back({{"celsius_low", band.low.value},
                     {"celsius_high", band.high.value},
                     {"attenuation", to_json(band.summary.attenuation)},
                     {"lag_days", to_json(band.summary.lag_days)},
                     {"final_days", to_json(band.summary.final_days)}});
  }
  return json_response({{"lines", yeast_lines(*found, call.display)},
                        {"yeast", to_json(*found)},
                        {"by_temperature", std::move(bands)},
                        {"batches", std::move(batches)}});
}

constexpr Route kYeastRoutes[] = {
    {"GET", "/v1/yeasts", list_yeasts},
    {"GET", "/v1/yeasts/{yeast}", one},
};

}  // namespace

std::span<const Route> yeast_routes() { return kYeastRoutes; }

}  // namespace gyle
