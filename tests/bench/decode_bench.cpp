// Message to readings: what one MQTT payload costs before it reaches the journal.

#include <benchmark/benchmark.h>

#include <string>
#include <vector>

#include "ingest/decoder.h"

using namespace gyle;

namespace {

Message message_of(std::string topic, std::string payload) {
  Message message;
  message.topic = std::move(topic);
  message.payload = std::move(payload);
  message.received = Time(seconds(1772389800));
  return message;
}

void decode_and_count(benchmark::State& state, const Message& message, const std::vector<Source>& sources,
                      std::size_t expected) {
  if (decode(message, sources).readings.size() != expected) {
    state.SkipWithError("the payload is not understood");
    return;
  }
  for (auto _ : state) benchmark::DoNotOptimize(decode(message, sources));
  state.SetItemsProcessed(state.iterations());
  state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(message.payload.size()));
}

void decode_senml(benchmark::State& state) {
  Source source;
  source.filter = "cellar/+/senml";
  source.format = Source::Format::senml;
  const Message message = message_of(
      "cellar/hydrometer/senml",
      R"([{"bn":"hydrometer:","bt":1772389795,"n":"gravity","u":"1","v":1.0484},{"n":"beer_temperature","u":"Cel","v":18.2},{"n":"battery","u":"V","v":3.97}])");
  decode_and_count(state, message, {source}, 3);
}
BENCHMARK(decode_senml);

void decode_json(benchmark::State& state) {
  Source source;
  source.filter = "cellar/#";
  source.format = Source::Format::json;
  source.sensor = SensorFromPointer{"/device/id"};
  source.fields = {QuantityField{Quantity::gravity, "/measured/density", Unit::specific_gravity},
                   QuantityField{Quantity::beer_temperature, "/measured/warmth", Unit::celsius},
                   QuantityField{Quantity::battery, "/supply", Unit::millivolt}};
  source.time_format = TimeFormat::epoch_seconds;
  source.time_pointer = "/at";
  const Message message = message_of(
      "cellar/hydrometer",
      R"({"device":{"id":"hydrometer-7","made":"2025"},"at":1772389795,"measured":{"density":1.0484,"warmth":18.2,"angle":41.3},"supply":3970,"strength":-61})");
  decode_and_count(state, message, {source}, 3);
}
BENCHMARK(decode_json);

void decode_number(benchmark::State& state) {
  Source source;
  source.filter = "cellar/+/gravity";
  source.format = Source::Format::number;
  source.sensor = SensorFromLevel{1};
  source.fields = {QuantityField{Quantity::gravity, "", Unit::specific_gravity}};
  decode_and_count(state, message_of("cellar/hydrometer/gravity", "1.0484"), {source}, 1);
}
BENCHMARK(decode_number);

void decode_rubbish(benchmark::State& state) {
  Source source;
  source.filter = "cellar/#";
  decode_and_count(state, message_of("cellar/hydrometer", std::string(60000, '[')), {source}, 0);
}
BENCHMARK(decode_rubbish);

}  // namespace
