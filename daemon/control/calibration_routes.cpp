#include "control/calibration_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
#include "control/reference.h"
#include "wording/calibration_lines.h"
#include "wording/format.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostPoints = 100;
constexpr std::size_t kMostListed = 50;

Json to_json(const InclinationFit& fit) {
  Json json;
  Json points = Json::array();
  for (const CalibrationPoint& point : fit.points) {
    points.push_back({{"inclination_degrees", point.inclination},
                      {"gravity_sg", point.gravity.value()},
                      {"curve_sg", fit.curve.polynomial.at(point.inclination)},
                      {"curve_off_points", fit.off(point).value}});
  }
  json["points"] = std::move(points);
  if (const auto deviation = fit.deviation()) json["deviation_points"] = deviation->value;
  json["coefficients"] = fit.curve.polynomial.coefficients;
  json["inclination_degrees"] = {{"low", fit.curve.least_inclination}, {"high", fit.curve.most_inclination}};
  const double ends[] = {fit.curve.polynomial.at(fit.curve.least_inclination),
                         fit.curve.polynomial.at(fit.curve.most_inclination)};
  json["gravity_sg"] = {{"low", std::min(ends[0], ends[1])}, {"high", std::max(ends[0], ends[1])}};
  return json;
}

Json to_json(const CalibrationRecord& record) {
  Json json{{"number", record.number}, {"made", format_rfc3339(record.made)}};
  if (record.fit) json["fit"] = to_json(*record.fit);
  return json;
}

bool sends(const SensorRecord& sensor, Quantity quantity) {
  return std::any_of(sensor.newest.begin(), sensor.newest.end(),
                     [quantity](const Reading& one) { return one.quantity == quantity; });
}

Result<SensorRecord> find_sensor(const Call& call) {
  auto found = find_sensor(call.cellar, call.segment(2));
  if (found) return found;
  std::string with_inclination;
  constexpr std::size_t kLookedAt = 100;  // those in vessels are the first of them
  for (const SensorRecord& one : call.cellar.sensors({}, kLookedAt)) {
    if (sends(one, Quantity::inclination))
      with_inclination += (with_inclination.empty() ? "" : ", ") + one.sensor;
  }
  return fail(Errc::not_found,
              fmt::format("{} ({})", found.error().message,
                          with_inclination.empty() ? "none sends an inclination"
                                                   : "with an inclination: " + with_inclination));
}

void add_lines(Json& lines, const std::vector<std::string>& more) {
  for (const std::string& line : more) lines.push_back(line);
}

HttpResponse show_calibration(const Call& call) {
  const auto sensor = find_sensor(call);
  if (!sensor) return problem(sensor.error());
  auto records = call.cellar.calibrations(sensor.value().sensor);
  if (!records) return problem(records.error());
  auto& all = records.value();
  if (all.size() > kMostListed) all.resize(kMostListed);
  Json lines = Json::array();
  Json list = Json::array();
  for (std::size_t i = 0; i < all.size(); ++i) {
    const CalibrationRecord& one = all[i];
    list.push_back(to_json(one));
    const std::string when = show_time(one.made, call.display);
    if (i == 0) {
      lines.push_back(
          one.fit ? fmt::format("{} is calibrated, since {}.", sensor.value().sensor, when)
                  : fmt::format("{} is not calibrated any more, since {}.", sensor.value().sensor, when));
      if (one.fit) add_lines(lines, calibration_lines(*one.fit, call.display));
    } else if (one.fit) {
      lines.push_back(fmt::format("Before that: {}, {} points.", when, one.fit->points.size()));
    } else {
      lines.push_back(fmt::format("Before that: {}, set aside.", when));
    }
  }
  if (all.empty()) lines.push_back(fmt::format("{} is not calibrated.", sensor.value().sensor));
  return json_response(
      {{"sensor", sensor.value().sensor}, {"lines", std::move(lines)}, {"calibrations", std::move(list)}});
}

// What follows for the beers that are watched.
void add_consequences(Json& lines, const Call& call, const SensorRecord& sensor) {
  for (const BatchRecord& batch : call.cellar.open_batches()) {
    if (sensor.vessel.empty() || batch.vessel != sensor.vessel) continue;
    lines.push_back(
        fmt::format("\"{}\" in {} is judged by it from its pitch on.", batch.spec.name, batch.vessel));
  }
}

HttpResponse calibrate(const Call& call) {
  const auto sensor = find_sensor(call);
  if (!sensor) return problem(sensor.error());
  const std::string& name = sensor.value().sensor;
  if (!sends(sensor.value(), Quantity::inclination)) {
    return problem(
        Error{Errc::conflict, fmt::format("{} sends no inclination; there is nothing to calibrate", name)});
  }
  const auto dry_run = call.query("dry_run").value_or("false");
  if (dry_run != "true" && dry_run != "false") return problem(400, "'dry_run' must be true or false");
  auto points = parse_calibration_points(call.request.body);
  if (!points) return problem(points.error());
  Json lines = Json::array();
  if (const auto reference = call.query("samples")) {
    const auto batch = find_batch(call.cellar.batches(), *reference);
    if (!batch) return problem(batch.error());
    const auto paired = call.cellar.paired_samples(batch.value().id, name);
    if (!paired) return problem(paired.error());
    for (const Reading& alone : paired.value().unpaired) {
      lines.push_back(
          fmt::format("The sample of {} is left out: no inclination of {} is known within an hour of it.",
                      show_time(alone.time, call.display), name));
    }
    const auto& found = paired.value().points;
    if (found.empty()) {
      return problem(
          Error{Errc::too_few, fmt::format("\"{}\" has no hand sample with an inclination of {} within an "
                                           "hour of it",
                                           batch.value().spec.name, name)});
    }
    points.value().insert(points.value().end(), found.begin(), found.end());
  }
  if (points.value().size() > kMostPoints) {
    return problem(Error{Errc::out_of_range, fmt::format("{} points are too many; give up to {}",
                                                         points.value().size(), kMostPoints)});
  }
  const auto fit = fit_inclination(points.value());
  if (!fit) return problem(fit.error());
  add_lines(lines, calibration_lines(fit.value(), call.display));
  Json json{{"sensor", name}, {"stored", dry_run == "false"}};
  if (dry_run == "true") {
    lines.push_back("Nothing is stored: it was only tried.");
    json["lines"] = std::move(lines);
    json["fit"] = to_json(fit.value());
    return json_response(json);
  }
  const auto record = call.cellar.calibrate(name, fit.value());
  if (!record) return problem(record.error());
  lines.push_back(fmt::format("Stored as calibration {}.", record.value().number));
  add_consequences(lines, call, sensor.value());
  if (sends(sensor.value(), Quantity::gravity)) {
    lines.push_back(fmt::format("The gravity that {} works out itself is not used any more.", name));
  }
  json["lines"] = std::move(lines);
  json.update(to_json(record.value()));
  return json_response(json, 201);
}

HttpResponse set_aside(const Call& call) {
  const auto sensor = find_sensor(call);
  if (!sensor) return problem(sensor.error());
  const std::string& name = sensor.value().sensor;
  if (!sensor.value().curve) return problem(409, fmt::format("{} is not calibrated", name));
  const auto record = call.cellar.calibrate(name, {});
  if (!record) return problem(record.error());
  Json lines = Json::array();
  lines.push_back(fmt::format("The calibration of {} is set aside; {}.", name,
                              sends(sensor.value(), Quantity::gravity)
                                  ? "the gravity it works out itself is used again"
                                  : "its inclination means no gravity now"));
  Json json{{"sensor", name}, {"stored", true}, {"lines", std::move(lines)}};
  json.update(to_json(record.value()));
  return json_response(json, 201);
}

constexpr Route kCalibrationRoutes[] = {
    {"GET", "/v1/sensors/{sensor}/calibration", show_calibration},
    {"POST", "/v1/sensors/{sensor}/calibration", calibrate},
    {"POST", "/v1/sensors/{sensor}/calibration/set-aside", set_aside},
};

}  // namespace

std::span<const Route> calibration_routes() { return kCalibrationRoutes; }

}  // namespace gyle
