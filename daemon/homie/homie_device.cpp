#include "homie/homie_device.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/text.h"
#include "reports/csv.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

std::string node_of(const BatchRecord& batch) { return fmt::format("batch-{}", batch.id); }

std::string clean(const std::string& text) { return displayable(text, text.size()); }

bool plato(const DisplaySettings& display) { return display.gravity == DisplaySettings::Gravity::plato; }
bool celsius(const DisplaySettings& display) {
  return display.temperature == DisplaySettings::Temperature::celsius;
}

std::string number(std::optional<double> value, int decimals) { return csv_number(value, decimals); }

std::string gravity(std::optional<double> sg, const DisplaySettings& display) {
  if (!sg || !std::isfinite(*sg)) return "";
  return plato(display) ? number(to_plato(SpecificGravity::unchecked(*sg)).value, 2) : number(sg, 4);
}

// The time that an interval estimates, as ISO 8601.
std::string time_of(const std::optional<TimeInterval>& interval) {
  return interval ? csv_time(interval->value) : "";
}

struct Property {
  const char* id;
  const char* name;
  const char* datatype;
  std::string (*unit)(const DisplaySettings&);
  const char* format;
  std::string (*value)(const BatchRecord&, const DisplaySettings&);
};

std::string no_unit(const DisplaySettings&) { return ""; }
std::string gravity_unit(const DisplaySettings& display) { return plato(display) ? "°P" : ""; }
std::string temperature_unit(const DisplaySettings& display) { return celsius(display) ? "°C" : "°F"; }
std::string percent_unit(const DisplaySettings&) { return "%"; }

using Batch = const BatchRecord&;
using Display = const DisplaySettings&;

const Property kProperties[] = {
    {"vessel", "Vessel", "string", no_unit, "", [](Batch batch, Display) { return clean(batch.vessel); }},
    {"stage", "Stage", "enum", no_unit, "lag,active,slowing,finished,stuck",
     [](Batch batch, Display) { return std::string(name(batch.view.stage)); }},
    {"gravity", "Gravity", "float", gravity_unit, "",
     [](Batch batch, Display display) {
       return batch.view.gravity ? gravity(batch.view.gravity->value, display) : "";
     }},
    {"gravity-low", "Gravity, lower end of its 80 % interval", "float", gravity_unit, "",
     [](Batch batch, Display display) {
       return batch.view.gravity ? gravity(batch.view.gravity->low, display) : "";
     }},
    {"gravity-high", "Gravity, upper end of its 80 % interval", "float", gravity_unit, "",
     [](Batch batch, Display display) {
       return batch.view.gravity ? gravity(batch.view.gravity->high, display) : "";
     }},
    {"attenuation", "Apparent attenuation", "float", percent_unit, "",
     [](Batch batch, Display) {
       return batch.view.attenuation ? number(100 * *batch.view.attenuation, 1) : "";
     }},
    {"temperature", "Temperature of the beer", "float", temperature_unit, "",
     [](Batch batch, Display display) {
       const auto degrees = batch.view.temperature;
       return degrees ? number(celsius(display) ? degrees->value : to_fahrenheit(*degrees), 1) : "";
     }},
    {"final-gravity", "Final gravity, forecast", "float", gravity_unit, "",
     [](Batch batch, Display display) {
       const auto& final = batch.view.forecast.final_gravity;
       return final ? gravity(final->value, display) : "";
     }},
    {"final-time", "Time of final gravity", "datetime", no_unit, "",
     [](Batch batch, Display) { return time_of(batch.view.forecast.final_time); }},
    {"next-step-time", "Time of the next hold of the plan", "datetime", no_unit, "",
     [](Batch batch, Display) { return time_of(batch.view.forecast.step_time); }},
};

// 31 bits of an FNV-1a hash.
std::int64_t digest(const std::string& text) {
  std::uint64_t hash = 14695981039346656037ULL;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  return static_cast<std::int64_t>(hash >> 33);
}

}  // namespace

std::string homie_description(std::span<const BatchRecord> batches, const DisplaySettings& display) {
  Json nodes = Json::object();
  for (const BatchRecord& batch : batches) {
    Json properties = Json::object();
    for (const Property& property : kProperties) {
      Json& one = properties[property.id] = {{"name", property.name}, {"datatype", property.datatype}};
      if (const std::string unit = property.unit(display); !unit.empty()) one["unit"] = unit;
      if (*property.format != '\0') one["format"] = property.format;
      one["settable"] = false;
      one["retained"] = true;
    }
    nodes[node_of(batch)] = {
        {"name", clean(batch.spec.name)}, {"type", "batch"}, {"properties", std::move(properties)}};
  }
  Json description{{"homie", "5.0"}, {"name", "Gylekeeper"}, {"nodes", std::move(nodes)}};
  description["version"] = digest(description.dump());
  return description.dump();
}

std::map<std::string, std::string> homie_values(std::span<const BatchRecord> batches,
                                                const DisplaySettings& display) {
  std::map<std::string, std::string> values;
  for (const BatchRecord& batch : batches) {
    for (const Property& property : kProperties) {
      std::string value = property.value(batch, display);
      if (!value.empty()) values[fmt::format("{}/{}", node_of(batch), property.id)] = std::move(value);
    }
  }
  return values;
}

std::map<std::string, std::string> homie_alerts(const BatchRecord& batch,
                                                std::span<const ReportedAlert> sent) {
  std::map<std::string, std::string> alerts;
  for (const ReportedAlert& alert : sent) {
    const Decision& decision = alert.decision;
    const bool needs_attention = severity_of(decision.kind) < Severity::informational;
    if (!needs_attention || decision.state != Decision::State::raised || alert.mark.over) continue;
    alerts[fmt::format("$alert/{}-{}-{}", node_of(batch), name(decision.kind), alert.mark.id)] =
        clean(alert.text);
  }
  return alerts;
}

}  // namespace gyle
