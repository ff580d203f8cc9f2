#include "ingest/number_decoder.h"

#include <charconv>
#include <cmath>

namespace gyle {

std::optional<double> written_number(std::string_view text) {
  constexpr std::string_view kSpace = " \t\r\n";
  const std::size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) return std::nullopt;
  text = text.substr(first, text.find_last_not_of(kSpace) - first + 1);
  if (text.front() == '+' && text.size() > 1 && text[1] != '-') text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::optional<double> number_in(const JsonValue& value) {
  if (const double* number = value.number()) return *number;
  const std::string* text = value.string();
  return text ? written_number(*text) : std::nullopt;
}

std::optional<double> payload_number(std::string_view payload) {
  if (payload.size() > 1 && payload.front() == '"' && payload.back() == '"') {
    payload = payload.substr(1, payload.size() - 2);  // JSON that sends numbers as text
  }
  return written_number(payload);
}

void decode_number(const Source& source, Intake& intake) {
  const auto sensor = sensor_of(source.sensor.value_or(SensorNamed{}), nullptr, intake);
  if (!sensor || source.fields.empty()) return;
  const auto value = payload_number(intake.message().payload);
  if (!value) {
    intake.refuse(RefusalReason::not_a_number, *sensor,
                  "expected a number alone, with a point for the decimals, such as 21.5");
    return;
  }
  const auto measured = intake.unstamped(*sensor);
  if (!measured) return;
  const QuantityField& field = source.fields.front();
  intake.take(*sensor, field.quantity, *value * field.scale + field.offset, field.unit, *measured);
}

}  // namespace gyle
