#include "notices/evidence_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace gyle {

using nlohmann::ordered_json;

std::string evidence_json(const Evidence& evidence) {
  ordered_json object = ordered_json::object();
  for (const auto& [name, value] : evidence) {
    if (std::isfinite(value)) object[name] = value;
  }
  return object.dump();
}

Evidence parse_evidence(std::string_view json) {
  Evidence evidence;
  const auto object = ordered_json::parse(json, nullptr, /*allow_exceptions=*/false);
  if (!object.is_object()) return evidence;
  for (const auto& [name, value] : object.items()) {
    if (value.is_number()) evidence.emplace_back(name, value.get<double>());
  }
  return evidence;
}

}  // namespace gyle
