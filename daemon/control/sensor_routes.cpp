#include "control/sensor_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "control/json_answer.h"
#include "control/sensor_reference.h"
#include "control/view_json.h"
#include "wording/refusal_lines.h"
#include "wording/sensor_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kMostRefusals = 1000;

SensorStory story_of(const SensorRecord& record, const std::vector<BatchRecord>& batches,
                     const std::vector<Refusal>& refusals) {
  SensorStory story{record.sensor, record.vessel, {}, record.newest, {}, {}, record.curve};
  for (const BatchRecord& batch : batches) {
    if (batch.packaged || record.vessel.empty() || batch.vessel != record.vessel) continue;
    story.batch = batch.spec.name;
    for (const SensorHealth& health : batch.view.sensors) {
      if (health.sensor == record.sensor) story.health = health;
    }
  }
  const auto refused = std::find_if(refusals.begin(), refusals.end(),
                                    [&](const Refusal& one) { return one.sensor == record.sensor; });
  if (refused != refusals.end()) story.refused = *refused;
  return story;
}

HttpResponse sensors(const Call& call) {
  const Cellar& cellar = call.cellar;
  const Time now = cellar.daemon().now;
  const auto batches = cellar.batches();
  const auto refusals = cellar.refusals(kMostRefusals).newest;
  Json list = Json::array();
  Json all_lines = Json::array();
  for (const SensorRecord& record : cellar.sensors()) {
    const SensorStory story = story_of(record, batches, refusals);
    const auto lines = sensor_lines(story, call.display, now);
    Json json = to_json(record);
    if (!story.batch.empty()) json["batch"] = story.batch;
    if (story.health) json["health"] = to_json(*story.health);
    json["lines"] = lines;
    for (const std::string& line : lines) all_lines.push_back(line);
    list.push_back(std::move(json));
  }
  if (list.empty())
    all_lines.push_back("No sensor has been heard yet; gylekeeper listen shows what arrives.");
  return json_response({{"sensors", std::move(list)}, {"lines", std::move(all_lines)}});
}

HttpResponse forget(const Call& call) {
  const auto sensor = find_sensor(call.cellar.sensors(), call.segment(2));
  if (!sensor) return problem(sensor.error());
  const std::string& id = sensor.value().sensor;
  if (const auto done = call.cellar.forget_sensor(id); !done) return problem(done.error());
  return json_response(
      {{"lines",
        {fmt::format("{} is forgotten: it is listed again when it is next heard. Its readings are kept.",
                     id)}}});
}

HttpResponse refusals(const Call& call) {
  const auto limit = call.number("limit", 0, kMostRefusals);
  if (!limit) return problem(limit.error());
  auto most = static_cast<std::size_t>(limit.value().value_or(20));
  // What was refused may be anything, and long; fewer are shown then.
  while (true) {
    const RefusalSummary refusals = call.cellar.refusals(most);
    Json json = to_json(refusals);
    json["lines"] = refusal_lines(refusals.counts, refusals.newest, call.display);
    HttpResponse response = json_response(json);
    if (response.body.size() < 900'000 || most <= 1) return response;
    most /= 2;
  }
}

constexpr Route kRoutes[] = {
    {"GET", "/v1/sensors", sensors},
    {"DELETE", "/v1/sensors/{sensor}", forget},
    {"GET", "/v1/refusals", refusals},
};

}  // namespace

std::span<const Route> sensor_routes() { return kRoutes; }

}  // namespace gyle
