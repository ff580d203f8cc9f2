#include "ingest/json_decoder.h"

#include <fmt/format.h>

#include "base/rfc3339.h"
#include "ingest/json_pointer.h"
#include "ingest/json_value.h"
#include "ingest/number_decoder.h"

namespace gyle {
namespace {

bool is_null(const JsonValue* value) { return !value || std::holds_alternative<std::nullptr_t>(value->is); }

std::optional<Measured> time_of(const Source& source, const JsonValue& document, std::string_view sensor,
                                Intake& intake) {
  if (source.time_format == TimeFormat::arrival) return intake.unstamped(sensor);
  const JsonValue* found = find(document, source.time_pointer);
  if (is_null(found)) return intake.unstamped(sensor);
  if (source.time_format == TimeFormat::rfc3339) {
    if (const std::string* text = found->string()) {
      const auto time = parse_rfc3339(*text);
      if (time) return intake.stamped(sensor, in_seconds(time.value().time_since_epoch()));
    }
    intake.refuse(
        RefusalReason::bad_time, sensor,
        fmt::format("no RFC 3339 time such as \"2026-03-01T18:30:00Z\" at {}", source.time_pointer));
    return std::nullopt;
  }
  if (const double* number = found->number()) {
    return intake.stamped(sensor,
                          source.time_format == TimeFormat::epoch_milliseconds ? *number / 1e3 : *number);
  }
  intake.refuse(RefusalReason::bad_time, sensor,
                fmt::format("no number of seconds or milliseconds at {}", source.time_pointer));
  return std::nullopt;
}

}  // namespace

void decode_json(const Source& source, Intake& intake) {
  const auto parsed = parse_json(intake.message().payload);
  if (const auto* complaint = std::get_if<JsonComplaint>(&parsed)) {
    intake.refuse(complaint->reason, "", complaint->detail);
    return;
  }
  const JsonValue& document = std::get<JsonValue>(parsed);
  const auto sensor = sensor_of(source.sensor.value_or(SensorNamed{}), &document, intake);
  if (!sensor) return;
  const auto measured = time_of(source, document, *sensor, intake);
  if (!measured) return;
  std::size_t absent = 0;
  for (const QuantityField& field : source.fields) {
    const JsonValue* found = find(document, field.pointer);
    if (is_null(found)) {
      ++absent;
    } else if (const auto number = number_in(*found)) {
      intake.take(*sensor, field.quantity, *number * field.scale + field.offset, field.unit, *measured);
    } else {
      intake.refuse(RefusalReason::not_a_number, *sensor,
                    fmt::format("{}: no number at {}", name(field.quantity), field.pointer));
    }
  }
  // Many sensors send their battery now and then only. A message without any of the fields is another matter.
  if (absent < source.fields.size()) return;
  for (const QuantityField& field : source.fields) {
    intake.refuse(RefusalReason::missing_field, *sensor,
                  fmt::format("{}: nothing at {}", name(field.quantity), field.pointer));
  }
}

}  // namespace gyle
