#include "senml_pack.h"

#include <nlohmann/json.hpp>

namespace gyle {
namespace {

// Codes of the SenML units registry; specific gravity has none, an angle in degrees is not in it but in UCUM.
const char* unit_of(Quantity quantity) {
  switch (quantity) {
    case Quantity::beer_temperature:
    case Quantity::ambient_temperature:
      return "Cel";
    case Quantity::battery:
      return "V";
    case Quantity::inclination:
      return "deg";
    case Quantity::gravity:
    case Quantity::sample:
      break;
  }
  return nullptr;
}

}  // namespace

std::string senml_pack(const RehearsedMessage& message) {
  using nlohmann::ordered_json;
  ordered_json pack = ordered_json::array();
  for (const Reading& reading : message.readings) {
    if (reading.quantity == Quantity::sample) continue;
    ordered_json record;
    if (pack.empty()) {
      record["bn"] = message.sensor + ":";
      record["bt"] = in_seconds(message.stamp.time_since_epoch());
    }
    record["n"] = name(reading.quantity);
    if (const char* unit = unit_of(reading.quantity)) record["u"] = unit;
    record["v"] = reading.value;
    pack.push_back(std::move(record));
  }
  return pack.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

}  // namespace gyle
