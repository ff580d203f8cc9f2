#include "reports/alerts_jsonl.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"

namespace gyle {

std::string alert_json_line(const Decision& decision, const std::string& batch, const std::string& text) {
  using nlohmann::ordered_json;
  ordered_json evidence = ordered_json::object();
  for (const auto& [key, value] : decision.evidence) {
    if (std::isfinite(value)) evidence[key] = value;
  }
  ordered_json alert;
  alert["time"] = format_rfc3339(decision.time);
  alert["kind"] = name(decision.kind);
  alert["severity"] = name(severity_of(decision.kind));
  alert["state"] = name(decision.state);
  alert["batch"] = batch;
  if (decision.step) alert["step"] = *decision.step;
  alert["text"] = text;
  alert["evidence"] = std::move(evidence);
  return alert.dump(-1, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace gyle
