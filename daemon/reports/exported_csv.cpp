#include "reports/exported_csv.h"

#include <fmt/format.h>

#include <cmath>

#include "base/rfc3339.h"
#include "reports/csv.h"

namespace gyle {
namespace {

const char* unit_of(Quantity quantity) {
  switch (quantity) {
    case Quantity::gravity:
    case Quantity::sample:
      return "SG";
    case Quantity::inclination:
      return "deg";
    case Quantity::beer_temperature:
    case Quantity::ambient_temperature:
      return "Cel";
    case Quantity::battery:
      return "V";
  }
  return "";
}

}  // namespace

std::string journal_csv_header() {
  return csv_record(
      {"number", "time_utc", "received_utc", "sensor", "quantity", "value", "unit", "time_quality"});
}

std::string journal_csv_row(std::int64_t number, Time received, const Reading& reading) {
  return csv_record({std::to_string(number), format_rfc3339(reading.time), format_rfc3339(received),
                     csv_text(reading.sensor), name(reading.quantity),
                     std::isfinite(reading.value) ? fmt::format("{:.10g}", reading.value) : "",
                     unit_of(reading.quantity), name(reading.time_quality)});
}

std::string alerts_csv_header() {
  return csv_record({"time_utc", "kind", "severity", "state", "hold_number", "sensor", "text", "evidence"});
}

std::string alerts_csv_row(const Decision& decision, const std::string& text) {
  std::string evidence;
  for (const auto& [name, value] : decision.evidence) {
    if (!std::isfinite(value)) continue;
    evidence += fmt::format("{}{}={:.10g}", evidence.empty() ? "" : "; ", name, value);
  }
  return csv_record({format_rfc3339(decision.time), name(decision.kind), name(severity_of(decision.kind)),
                     name(decision.state), decision.step ? std::to_string(*decision.step) : "",
                     csv_text(decision.sensor), csv_text(text), csv_text(evidence)});
}

std::string notes_csv_header() { return csv_record({"number", "time_utc", "text"}); }

std::string notes_csv_row(std::int64_t number, Time time, const std::string& text) {
  return csv_record({std::to_string(number), format_rfc3339(time), csv_text(text)});
}

}  // namespace gyle
