#include "ingest/senml_decoder.h"

#include <fmt/format.h>

#include <array>

#include "base/text.h"
#include "ingest/json_value.h"
#include "ingest/senml.h"
#include "ingest/unit.h"

namespace gyle {
namespace {

struct Word {
  std::string_view last_part;
  Quantity quantity;
  Unit without_unit;  // what a record without a unit means: the standard leaves it to the context
};
constexpr std::array<Word, 7> kWords{{
    {"gravity", Quantity::gravity, Unit::specific_gravity},
    {"density", Quantity::gravity, Unit::kilogram_per_cubic_metre},
    {"inclination", Quantity::inclination, Unit::degree_angle},
    {"temperature", Quantity::beer_temperature, Unit::celsius},
    {"beer_temperature", Quantity::beer_temperature, Unit::celsius},
    {"ambient_temperature", Quantity::ambient_temperature, Unit::celsius},
    {"battery", Quantity::battery, Unit::volt},
}};

const Word* word_of(std::string_view last_part) {
  for (const Word& word : kWords) {
    if (word.last_part == last_part) return &word;
  }
  return nullptr;
}

// The charge left, in percent or seconds: SenML's own units for batteries, but not a voltage. Not an error of
// the sensor, so not worth a refusal with every message.
bool is_charge(std::string_view unit) { return unit == "%EL" || unit == "EL"; }

}  // namespace

void decode_senml(const Source& source, Intake& intake) {
  const auto parsed = parse_json(intake.message().payload);
  if (const auto* complaint = std::get_if<JsonComplaint>(&parsed)) {
    intake.refuse(complaint->reason, "", complaint->detail);
    return;
  }
  const JsonValue& document = std::get<JsonValue>(parsed);
  const auto records = resolve_senml(document);
  if (!records) {
    intake.refuse(RefusalReason::bad_pack, "", records.error().message);
    return;
  }
  std::optional<std::string> configured;
  if (source.sensor) {
    configured = sensor_of(*source.sensor, &document, intake);
    if (!configured) return;
  }
  bool known = false;
  for (const SenmlRecord& record : records.value()) {
    const std::size_t separator = record.name.find_last_of(":/");
    const bool separated = separator != std::string::npos;
    const Word* word = word_of(separated ? std::string_view(record.name).substr(separator + 1) : record.name);
    if (!word) continue;
    known = true;
    if (!record.value || is_charge(record.unit)) continue;
    const std::string sensor = configured.value_or(separated ? record.name.substr(0, separator) : "");
    if (!intake.has_sensor(sensor)) continue;
    const auto unit = record.unit.empty() ? word->without_unit : unit_coded(record.unit);
    if (!unit || !fits(*unit, word->quantity)) {
      intake.refuse(RefusalReason::unknown_unit, sensor,
                    fmt::format("{}: the unit \"{}\" is not known here; send {}", name(word->quantity),
                                displayable(record.unit), codes_that_fit(word->quantity)));
      continue;
    }
    const auto measured = record.is_absolute() ? intake.stamped(sensor, record.time_s)
                                               : intake.unstamped(sensor, -record.time_s);
    if (measured) intake.take(sensor, word->quantity, *record.value, *unit, *measured);
  }
  if (!known) {
    intake.refuse(RefusalReason::missing_field, configured.value_or(""),
                  "no record's name ends in gravity, density, inclination, temperature, beer_temperature, "
                  "ambient_temperature or battery");
  }
}

}  // namespace gyle
