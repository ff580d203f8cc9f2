#include "control/sensor_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "control/json_answer.h"
#include "control/paging.h"
#include "control/reference.h"
#include "control/view_json.h"
#include "ingest/decoder.h"
#include "ingest/topic_filter.h"
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
    if (record.vessel.empty() || batch.vessel != record.vessel) continue;
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

// "1.", if it is in no vessel, or "0.", and its id, percent-encoded: it may be any bytes.
std::string cursor_of(const SensorPlace& place) {
  return (place.loose ? "1." : "0.") + percent_encoded(place.sensor);
}

Result<std::optional<SensorPlace>> place_of(const std::optional<std::string>& cursor) {
  if (!cursor) return std::optional<SensorPlace>();
  if (!cursor->starts_with("0.") && !cursor->starts_with("1.")) return no_such_cursor();
  const auto id = percent_decoded(std::string_view(*cursor).substr(2));
  if (!id) return no_such_cursor();
  return std::optional(SensorPlace{cursor->front() == '1', id.value()});
}

HttpResponse sensors(const Call& call) {
  const auto limit = page_limit(call, 100, 1000);
  if (!limit) return problem(limit.error());
  const auto after = place_of(call.query("cursor"));
  if (!after) return problem(after.error());
  const Cellar& cellar = call.cellar;
  const Time now = cellar.daemon().now;
  const auto batches = cellar.open_batches();
  const auto refusals = cellar.refusals(kMostRefusals).newest;
  Page page(limit.value(), 400'000);  // their lines are as much again
  Json all_lines = Json::array();
  // One more than are shown: it says whether there is another page.
  const auto records = cellar.sensors(after.value(), limit.value() + 1);
  for (const SensorRecord& record : records) {
    const SensorStory story = story_of(record, batches, refusals);
    const auto lines = sensor_lines(story, call.display, now);
    Json json = to_json(record);
    if (!story.batch.empty()) json["batch"] = story.batch;
    if (story.health) json["health"] = to_json(*story.health);
    json["lines"] = lines;
    if (!page.add(std::move(json), cursor_of({record.vessel.empty(), record.sensor}))) break;
    for (const std::string& line : lines) all_lines.push_back(line);
  }
  if (records.empty() && !after.value())
    all_lines.push_back("No sensor has been heard yet; gylekeeper listen shows what arrives.");
  Json answer{{"lines", std::move(all_lines)}};
  page.put(answer, "sensors");
  return json_response(answer);
}

HttpResponse forget(const Call& call) {
  const auto sensor = find_sensor(call.cellar, call.segment(2));
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
  // A refused message may be long; then fewer are shown.
  while (true) {
    const RefusalSummary refusals = call.cellar.refusals(most);
    Json json = to_json(refusals);
    json["lines"] = refusal_lines(refusals.counts, refusals.newest, call.display);
    HttpResponse response = json_response(json);
    if (response.body.size() < 900'000 || most <= 1) return response;
    most /= 2;
  }
}

// Topics with wildcards are filters; a message has none.
HttpResponse propose(const Call& call) {
  const auto topic = call.query("topic");
  if (!topic || topic->empty() || !check_topic_filter(*topic) ||
      topic->find_first_of("+#") != std::string::npos) {
    return problem(400, "say on which topic it was sent: ?topic=cellar/left");
  }
  if (call.request.body.size() > kLargestPayload)
    return problem(413, "the message is longer than 64 KiB; no source reads it");
  Message message;
  message.topic = *topic;
  message.payload = call.request.body;
  message.received = call.cellar.daemon().now;
  const std::string block = propose_source(message);
  if (block.empty()) {
    return problem(422,
                   "nothing in this message looks like a reading; give it whole, as the sensor sends it");
  }
  return json_response({{"topic", *topic}, {"block", block}});
}

constexpr Route kSensorRoutes[] = {
    {"GET", "/v1/sensors", sensors},
    {"DELETE", "/v1/sensors/{sensor}", forget},
    {"GET", "/v1/refusals", refusals},
    {"POST", "/v1/sources/proposal", propose},
};

}  // namespace

std::span<const Route> sensor_routes() { return kSensorRoutes; }

}  // namespace gyle
