#include "reports/alerts_jsonl.h"

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "notices/evidence_json.h"

namespace gyle {

std::string alert_json_line(const Decision& decision, const std::string& batch, const std::string& text) {
  using nlohmann::ordered_json;
  ordered_json alert;
  alert["time"] = format_rfc3339(decision.time);
  alert["kind"] = name(decision.kind);
  alert["severity"] = name(severity_of(decision.kind));
  alert["state"] = name(decision.state);
  alert["batch"] = batch;
  if (decision.step) alert["step"] = *decision.step;
  alert["text"] = text;
  alert["evidence"] = ordered_json::parse(evidence_json(decision.evidence));
  return alert.dump(-1, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace gyle
