#include "reports/alerts_csv.h"

#include <fmt/format.h>

#include <cmath>

#include "base/rfc3339.h"
#include "reports/csv.h"

namespace gyle {

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

}  // namespace gyle
