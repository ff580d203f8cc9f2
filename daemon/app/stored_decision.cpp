#include "app/stored_decision.h"

#include <fmt/format.h>

#include "notices/evidence_json.h"

namespace gyle {

Result<Decision> stored_decision(const StoredAlert& alert) {
  const auto kind = alert_kind_named(alert.kind);
  if (!kind)
    return fail(Errc::storage, fmt::format("the database holds an unknown alert \"{}\"", alert.kind));
  Decision decision{
      alert.time, *kind, alert.state, alert.occurrence, {}, alert.sensor, parse_evidence(alert.evidence)};
  if (alert.step != 0) decision.step = alert.step;
  return decision;
}

}  // namespace gyle
