#include "reports/journal_csv.h"

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

}  // namespace gyle
