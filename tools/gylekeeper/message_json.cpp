#include "message_json.h"

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "ingest/decoder.h"

namespace gyle {

std::string message_json(const Message& message, std::span<const Source> sources) {
  using Json = nlohmann::ordered_json;
  const Decoded decoded = decode(message, sources);
  Json readings = Json::array(), refusals = Json::array();
  for (const Reading& one : decoded.readings) {
    readings.push_back({{"sensor", one.sensor},
                        {"time", format_rfc3339(one.time)},
                        {"quantity", name(one.quantity)},
                        {"value", one.value}});
  }
  for (const Refusal& one : decoded.refusals) {
    refusals.push_back({{"reason", name(one.reason)}, {"detail", one.detail}});
  }
  const Json json{{"topic", message.topic},
                  {"received", format_rfc3339(message.received)},
                  {"retained", message.retained},
                  {"readings", std::move(readings)},
                  {"refusals", std::move(refusals)}};
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace gyle
