#include "control/cellar_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/batch_routes.h"
#include "control/json_answer.h"
#include "control/series_json.h"
#include "control/set_point_routes.h"
#include "control/view_json.h"
#include "wording/format.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostSensors = 500, kPackagedShown = 12;
constexpr int kSystemAlerts = 50;

Json daemon_json(const Call& call) {
  Json daemon = to_json(call.cellar.daemon());
  daemon["time_zone"] = call.display.time_zone;
  return daemon;
}

HttpResponse status(const Call& call) {
  Json batches = Json::array();
  for (const BatchRecord& batch : call.cellar.open_batches()) batches.push_back(batch_json(call, batch));
  return json_response({{"daemon", daemon_json(call)}, {"batches", std::move(batches)}});
}

Json display_json(const Call& call) {
  using Display = DisplaySettings;
  return {{"gravity", call.display.gravity == Display::Gravity::plato ? "P" : "SG"},
          {"temperature", call.display.temperature == Display::Temperature::fahrenheit ? "F" : "Cel"},
          {"volume", call.display.volume == Display::Volume::us_gallons ? "gal" : "L"},
          {"time_zone", call.display.time_zone},
          {"read_only", call.request.read_only},
          {"signed_in", call.request.signed_in},
          {"version", call.cellar.daemon().version}};
}

HttpResponse display(const Call& call) { return json_response(display_json(call)); }

bool is_open(const AlertMark& mark, Decision::State state) {
  return state == Decision::State::raised && !mark.over;
}

// What fails for one batch is said beside it, and hides nothing else.
Json place_json(const Call& call, const BatchRecord& batch) {
  Json json{{"batch", batch_json(call, batch)}, {"alerts", Json::array()}};
  std::string trouble = batch.unreadable;
  const auto alerts = call.cellar.alerts(batch.id);
  if (!alerts) {
    trouble = alerts.error().message;
  } else {
    for (const ReportedAlert& alert : alerts.value()) {
      if (is_open(alert.mark, alert.decision.state)) json["alerts"].push_back(to_json(alert));
    }
  }
  if (batch.unreadable.empty()) {
    if (const auto report = call.cellar.set_point(batch.id)) {
      json["set_point"] = set_point_json(call, batch, report.value());
    } else {
      trouble = report.error().message;
    }
    if (const auto outlook = call.cellar.outlook(batch.id, {})) {
      const Json ahead = to_json(outlook.value());
      if (ahead.contains("ready_time")) json["ready_time"] = ahead["ready_time"];
    } else {
      trouble = outlook.error().message;
    }
    if (const auto trace = call.cellar.trace(batch.id)) {
      json["recent"] = recent_json(batch.view, *trace.value());
    } else {
      trouble = trace.error().message;
    }
  }
  if (!trouble.empty()) json["trouble"] = trouble;
  return json;
}

HttpResponse cellar(const Call& call) {
  Json open = Json::array();
  std::vector<BatchRecord> packaged;
  Json vessels = Json::array();
  const auto sensors = call.cellar.sensors({}, kMostSensors);
  const auto sensors_of = [&](const std::string& vessel) {
    Json list = Json::array();
    for (const SensorRecord& sensor : sensors) {
      if (sensor.vessel == vessel) list.push_back(to_json(sensor));
    }
    return list;
  };
  for (const std::string& vessel : call.cellar.vessels()) {
    vessels.push_back({{"name", vessel}, {"sensors", sensors_of(vessel)}});
  }
  for (const BatchRecord& batch : call.cellar.open_batches()) open.push_back(place_json(call, batch));
  for (const BatchRecord& batch : call.cellar.batches()) {
    if (batch.packaged) packaged.push_back(batch);
  }
  std::stable_sort(packaged.begin(), packaged.end(),
                   [](const BatchRecord& a, const BatchRecord& b) { return *a.packaged > *b.packaged; });
  if (packaged.size() > kPackagedShown) packaged.resize(kPackagedShown);
  Json past = Json::array();
  for (const BatchRecord& batch : packaged) {
    past.push_back({{"id", batch.id},
                    {"name", batch.spec.name},
                    {"vessel", batch.vessel},
                    {"packaged", format_rfc3339(*batch.packaged)}});
  }
  Json system = Json::array();
  const auto reported = call.cellar.system_alerts(kSystemAlerts);
  if (!reported) return problem(reported.error());
  for (const SystemAlert& alert : reported.value()) {
    if (!is_open(alert.mark, alert.state)) continue;
    Json json = to_json(alert);
    json["line"] = fmt::format("{}  {}", show_time(alert.time, call.display), alert.text);
    system.push_back(std::move(json));
  }
  return json_response({{"daemon", daemon_json(call)},
                        {"display", display_json(call)},
                        {"batches", std::move(open)},
                        {"vessels", std::move(vessels)},
                        {"loose_sensors", sensors_of("")},
                        {"packaged", std::move(past)},
                        {"system_alerts", std::move(system)}});
}

constexpr Route kCellarRoutes[] = {
    {"GET", "/v1/cellar", cellar},
    {"GET", "/v1/status", status},
    {"GET", "/v1/display", display},
};

}  // namespace

std::span<const Route> cellar_routes() { return kCellarRoutes; }

}  // namespace gyle
