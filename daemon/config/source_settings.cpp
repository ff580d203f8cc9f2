#include "config/source_settings.h"

#include <array>
#include <cmath>

#include "ingest/intake.h"
#include "ingest/json_pointer.h"
#include "ingest/topic_filter.h"
#include "ingest/unit.h"

namespace gyle {
namespace {

// What a source may measure; a sample is taken by hand and never comes over MQTT.
constexpr std::array kMeasured{Quantity::gravity, Quantity::inclination, Quantity::beer_temperature,
                               Quantity::ambient_temperature, Quantity::battery};

void read_pointer(TomlTable& table, std::string& into) {
  table.read_as("pointer", into, [](std::string_view text) -> Result<std::string> {
    BOOST_OUTCOME_TRYV(check_json_pointer(text));
    return std::string(text);
  });
}

void read_field(const TomlValue& value, Quantity quantity, const std::string& path, Source& source,
                TomlProblems& problems) {
  TomlTable table(value, path, problems);
  QuantityField field{quantity, "", Unit::specific_gravity};
  if (source.format == Source::Format::number) {
    if (table.has("pointer")) table.problem("pointer", "a bare number has no pointers; leave it out");
  } else {
    table.must_have("pointer", "\"/value\"");
    read_pointer(table, field.pointer);
  }
  table.must_have("unit", codes_that_fit(quantity));
  table.read_as("unit", field.unit, [&](std::string_view code) -> Result<Unit> {
    const auto unit = unit_coded(code);
    if (unit && fits(*unit, quantity)) return *unit;
    return fail(Errc::malformed, fmt::format("\"{}\" is not a unit known here for {}; use {}", code,
                                             name(quantity), codes_that_fit(quantity)));
  });
  constexpr double kLargest = 1e9;
  table.read("scale", field.scale, -kLargest, kLargest);
  if (field.scale == 0) table.problem("scale", "0 would make every reading the same");
  table.read("offset", field.offset, -kLargest, kLargest);
  table.finish();
  source.fields.push_back(std::move(field));
}

void read_sensor(const TomlValue& value, const std::string& path, Source& source, TomlProblems& problems) {
  TomlTable table(value, path, problems);
  const bool has_level = table.has("level");
  const bool has_pointer = table.has("pointer");
  const bool has_name = table.has("name");
  if (has_level + has_pointer + has_name != 1) {
    table.problem("", "write one of { level = 1 }, { pointer = \"/id\" } and { name = \"hydrometer-1\" }");
  }
  int level = 0;
  SensorFromPointer pointer;
  SensorNamed named;
  if (table.read("level", level, 0, 1000)) {
    const bool open_ended = source.filter == "#" || source.filter.ends_with("/#");
    if (!open_ended && static_cast<std::size_t>(level) >= topic_levels(source.filter)) {
      table.problem("level", fmt::format("\"{}\" has the levels 0 to {}", source.filter,
                                         topic_levels(source.filter) - 1));
    }
    source.sensor = SensorFromLevel{static_cast<std::size_t>(level)};
  }
  if (has_pointer) {
    read_pointer(table, pointer.pointer);
    if (source.format == Source::Format::number)
      table.problem("pointer", "a bare number has no pointers; use level or name");
    source.sensor = pointer;
  }
  if (table.read("name", named.id)) {
    if (!is_sensor_id(named.id))
      table.problem("name", fmt::format("1 to {} bytes are expected", kLongestSensorId));
    source.sensor = named;
  }
  table.finish();
}

void read_time(const TomlValue& value, const std::string& path, Source& source, TomlProblems& problems) {
  TomlTable table(value, path, problems);
  table.must_have("pointer", "\"/time\"");
  read_pointer(table, source.time_pointer);
  table.must_have("as", "\"rfc3339\"");
  table.read_as("as", source.time_format, [](std::string_view word) -> Result<TimeFormat> {
    if (word == "rfc3339") return TimeFormat::rfc3339;
    if (word == "epoch-s") return TimeFormat::epoch_seconds;
    if (word == "epoch-ms") return TimeFormat::epoch_milliseconds;
    return fail(
        Errc::malformed,
        fmt::format("\"{}\" is not known here; write \"rfc3339\", \"epoch-s\" or \"epoch-ms\"", word));
  });
  table.finish();
}

void check_whole(TomlTable& table, const Source& source) {
  switch (source.format) {
    case Source::Format::senml:
      if (!source.fields.empty()) {
        table.problem(name(source.fields.front().quantity),
                      "SenML records say themselves what they are; leave it out, or write format = \"json\"");
      }
      break;
    case Source::Format::json:
      if (source.fields.empty()) {
        table.absence("no quantity; add for example [source.gravity] with pointer and unit");
      }
      break;
    case Source::Format::number:
      if (source.fields.size() != 1) {
        table.absence(
            "a bare number is exactly one quantity; add for example [source.gravity] with its unit");
      }
      break;
  }
  if (source.format != Source::Format::senml && !source.sensor) {
    table.absence("sensor is missing; write for example sensor = { level = 1 }");
  }
  if (source.format != Source::Format::json && source.time_format != TimeFormat::arrival) {
    table.problem("time", "only format = \"json\" has a time to point at; leave it out");
  }
}

}  // namespace

std::vector<Source> read_sources(TomlTable& root, TomlProblems& problems) {
  std::vector<Source> sources;
  for (const TomlValue* block : root.tables("source")) {
    const std::string path = fmt::format("source[{}]", sources.size() + 1);
    TomlTable table(*block, path, problems);
    Source source;
    table.must_have("topic", "\"cellar/+/state\"");
    table.read_as("topic", source.filter, [](std::string_view text) -> Result<std::string> {
      BOOST_OUTCOME_TRYV(check_topic_filter(text));
      return std::string(text);
    });
    for (std::size_t i = 0; i < sources.size(); ++i) {
      if (sources[i].filter != source.filter) continue;
      table.problem("topic",
                    fmt::format("source[{}] has the same topic, so this one would never be used", i + 1));
    }
    table.read_as("format", source.format, [](std::string_view word) -> Result<Source::Format> {
      if (word == "senml") return Source::Format::senml;
      if (word == "json") return Source::Format::json;
      if (word == "number") return Source::Format::number;
      return fail(Errc::malformed,
                  fmt::format("\"{}\" is not known here; write \"senml\", \"json\" or \"number\"", word));
    });
    if (const TomlValue* sensor = table.find("sensor"))
      read_sensor(*sensor, path + ".sensor", source, problems);
    if (const TomlValue* time = table.find("time")) read_time(*time, path + ".time", source, problems);
    for (const Quantity quantity : kMeasured) {
      const TomlValue* field = table.find(name(quantity));
      if (field) read_field(*field, quantity, table.path_of(name(quantity)), source, problems);
    }
    check_whole(table, source);
    table.finish();
    sources.push_back(std::move(source));
  }
  return sources;
}

}  // namespace gyle
