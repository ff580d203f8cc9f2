#include "app/decision_alerts.h"

#include <spdlog/spdlog.h>

#include "app/stored_decision.h"
#include "notices/evidence_json.h"
#include "wording/alert_sentences.h"
#include "wording/set_point_lines.h"

namespace gyle {

DecisionAlerts::DecisionAlerts(Database& database, AlertRouting routing, const Vessels& vessels,
                               const DisplaySettings& display, std::function<void()> on_queued)
    : outbox_(database),
      routing_(std::move(routing)),
      vessels_(vessels),
      display_(display),
      on_queued_(std::move(on_queued)) {}

void DecisionAlerts::add(const StoredBatch& batch, const BatchSpec& spec,
                         std::span<const Decision> decisions) {
  const SetPointRule* const rule = vessels_.set_point_rule(batch.vessel);
  for (const Decision& decision : decisions) {
    std::string sentence = alert_sentence(decision, spec, display_);
    if (rule) sentence += set_point_sentence(decision, spec, batch.vessel, *rule, display_);
    NewAlert alert = alert_of(batch.id, decision, std::move(sentence), evidence_json(decision.evidence));
    alert.severity = routing_.severity(alert.kind, alert.severity);
    pending_.push_back({std::move(alert), batch.vessel, spec.name});
  }
}

Status DecisionAlerts::store() {
  bool news = false;
  while (!pending_.empty()) {
    const Pending& one = pending_.front();
    const auto stored = outbox_.record(
        one.alert, routing_.of(one.alert.severity, one.alert.kind, one.vessel, one.batch_name));
    if (!stored && stored.error().worth_retrying()) {
      spdlog::error("{}; it is tried again", stored.error().message);
      break;
    }
    if (!stored) spdlog::error("{} This alert is lost: {}", one.alert.sentence, stored.error().message);
    news = news || (stored && stored.value().has_value());
    pending_.pop_front();
  }
  if (news) on_queued_();
  if (pending_.empty()) return success();
  return fail(Errc::unavailable, "the alerts cannot be stored; it is tried again");
}

void DecisionAlerts::store_silently(const StoredBatch& batch, const BatchSpec& spec,
                                    std::span<const Decision> decisions) {
  for (const Decision& decision : decisions) {
    const auto kept = outbox_.record(alert_of(batch.id, decision, alert_sentence(decision, spec, display_),
                                              evidence_json(decision.evidence)),
                                     {});
    if (!kept)
      spdlog::error("an alert of the imported batch \"{}\" is not kept: {}", spec.name, kept.error().message);
  }
}

Result<std::vector<Decision>> DecisionAlerts::reported(std::int64_t batch) {
  BOOST_OUTCOME_TRY(alerts, outbox_.alerts(batch));
  std::vector<Decision> decisions;
  for (const StoredAlert& alert : alerts) {
    BOOST_OUTCOME_TRY(decision, stored_decision(alert));
    decisions.push_back(decision);
  }
  return decisions;
}

}  // namespace gyle
