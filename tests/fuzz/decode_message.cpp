// Input: a topic, a line break, a payload. Whatever they are, readings are plausible, refusals can be shown,
// and a proposed source is a configuration that can be read.
#include <cmath>
#include <cstdint>
#include <string_view>

#include "base/text.h"
#include "config/settings_file.h"
#include "fuzz_check.h"
#include "ingest/decoder.h"

namespace {

using namespace gyle;

const std::vector<Source>& sources() {
  static const std::vector<Source> all = [] {
    Source json;
    json.filter = "json/+";
    json.format = Source::Format::json;
    json.sensor = SensorFromPointer{"/id"};
    json.fields = {{Quantity::gravity, "/g", Unit::plato},
                   {Quantity::inclination, "/a/0", Unit::radian},
                   {Quantity::beer_temperature, "/t", Unit::kelvin, 1e6, -1e6},
                   {Quantity::battery, "", Unit::millivolt}};
    json.time_format = TimeFormat::epoch_milliseconds;
    json.time_pointer = "/at";
    Source stamped = json;
    stamped.filter = "stamped/+";
    stamped.time_format = TimeFormat::rfc3339;
    Source number;
    number.filter = "number/+";
    number.format = Source::Format::number;
    number.sensor = SensorFromLevel{1};
    number.fields = {{Quantity::ambient_temperature, "", Unit::fahrenheit}};
    Source senml;
    senml.filter = "senml/#";
    return std::vector{json, stamped, number, senml};
  }();
  return all;
}

void check(const Message& message) {
  const Decoded decoded = decode(message, sources());
  for (const Reading& reading : decoded.readings) {
    FUZZ_CHECK(std::isfinite(reading.value));
    FUZZ_CHECK(!reading.sensor.empty() && is_clean_text(reading.sensor));
    FUZZ_CHECK(reading.time >= message.received - days(60) && reading.time <= message.received + minutes(5));
    FUZZ_CHECK(reading.quantity != Quantity::gravity || (reading.value >= 0.98 && reading.value <= 1.2));
    FUZZ_CHECK(!message.retained || reading.time_quality == TimeQuality::stamped);
  }
  FUZZ_CHECK(decoded.refusals.size() <= kRefusalsPerMessage);
  for (const Refusal& refusal : decoded.refusals) {
    FUZZ_CHECK(refusal.head.size() <= kRefusalHeadBytes);
    for (const std::string& text : {refusal.head, refusal.detail, refusal.sensor, refusal.topic}) {
      FUZZ_CHECK(is_clean_text(text));
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  const std::size_t line_end = input.find('\n');
  if (line_end == std::string_view::npos) return 0;
  Message message{std::string(input.substr(0, line_end)), std::string(input.substr(line_end + 1)),
                  Time(Duration(1'772'389'800'000))};
  for (const bool retained : {false, true}) {
    for (const bool backlog : {false, true}) {
      message.retained = retained;
      message.backlog = backlog;
      check(message);
    }
  }
  const std::string proposal = propose_source(message);
  if (!proposal.empty()) {
    const auto settings = parse_settings(proposal, "proposal");
    FUZZ_CHECK(settings.has_value());
    message.retained = false;
    FUZZ_CHECK(!decode(message, settings.value().sources).readings.empty());
  }
  return 0;
}
