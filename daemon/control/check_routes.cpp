#include "control/check_routes.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "control/json_answer.h"
#include "wording/check_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kSensorsLookedAt = 200;
constexpr int kRefusalsLookedAt = 1000;

SensorFacts facts_of(const SensorRecord& record, const Cellar& cellar,
                     const std::vector<BatchRecord>& batches) {
  SensorFacts facts;
  facts.sensor = record.sensor;
  facts.vessel = record.vessel;
  for (const Reading& reading : record.newest) {
    if (!facts.heard || reading.time > *facts.heard) facts.heard = reading.time;
    facts.inclination = facts.inclination || reading.quantity == Quantity::inclination;
    facts.gravity = facts.gravity || reading.quantity == Quantity::gravity;
  }
  for (const BatchRecord& batch : batches) {
    if (record.vessel.empty() || batch.vessel != record.vessel) continue;
    for (const SensorHealth& health : batch.view.sensors) {
      if (health.sensor == record.sensor) facts.silent = health.silent;
    }
  }
  if (record.curve) {
    const auto calibrations = cellar.calibrations(record.sensor);
    if (calibrations && !calibrations.value().empty()) facts.calibrated = calibrations.value().front().made;
  }
  return facts;
}

// Those heard, and those that are in a vessel but were not heard yet.
std::vector<SensorFacts> sensor_facts(const Cellar& cellar, const SelfFacts& self) {
  const std::vector<BatchRecord> batches = cellar.open_batches();
  std::vector<SensorFacts> all;
  for (const SensorRecord& record : cellar.sensors(std::nullopt, kSensorsLookedAt)) {
    all.push_back(facts_of(record, cellar, batches));
  }
  for (const auto& [vessel, sensor] : self.vessel_sensors) {
    if (cellar.sensor(sensor)) continue;
    SensorFacts facts;
    facts.sensor = sensor;
    facts.vessel = vessel;
    all.push_back(std::move(facts));
  }
  const auto refusals = cellar.refusals(kRefusalsLookedAt).newest;
  for (SensorFacts& facts : all) {
    const auto refused = std::find_if(refusals.begin(), refusals.end(),
                                      [&](const Refusal& one) { return one.sensor == facts.sensor; });
    if (refused == refusals.end()) continue;
    facts.refused = refused->received;
    facts.refusal = refused->detail;
  }
  return all;
}

HttpResponse check(const Call& call) {
  const Cellar& cellar = call.cellar;
  const SelfFacts self = cellar.self_facts();
  std::vector<CheckLine> lines = broker_lines(self.broker);
  const auto add = [&](std::vector<CheckLine> more) { lines.insert(lines.end(), more.begin(), more.end()); };
  add(database_lines(self.database));
  lines.push_back(clock_line(self.clock));
  const auto channels = cellar.channels();
  if (!channels) return problem(channels.error());
  for (const ChannelReport& report : channels.value()) {
    ChannelFacts facts;
    facts.name = report.name;
    facts.kind = report.kind;
    facts.trouble = report.trouble;
    facts.waiting = report.waiting;
    facts.refused = report.refused;
    lines.push_back(channel_line(facts));
  }
  add(sensor_check_lines(sensor_facts(cellar, self), self.vessels, call.display, cellar.daemon().now));
  Json checks = Json::array();
  for (const CheckLine& line : lines) {
    Json one{{"part", line.part}, {"verdict", name(line.verdict)}, {"text", line.text}};
    if (!line.to_do.empty()) one["to_do"] = line.to_do;
    checks.push_back(std::move(one));
  }
  const bool right = !any_wrong(lines);
  return json_response(
      {{"right", right}, {"checks", std::move(checks)}, {"lines", check_lines(std::move(lines))}});
}

constexpr Route kCheckRoutes[] = {{"GET", "/v1/check", check}};

}  // namespace

std::span<const Route> check_routes() { return kCheckRoutes; }

}  // namespace gyle
