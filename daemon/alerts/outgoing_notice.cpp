#include "alerts/outgoing_notice.h"

#include <fmt/format.h>

#include <algorithm>

#include "wording/alert_title.h"
#include "wording/summary.h"
#include "wording/system_alert_sentences.h"

namespace gyle {
namespace {

std::string title_of(const StoredAlert& alert) {
  if (const auto kind = alert_kind_named(alert.kind)) {
    return alert_title(*kind, alert.state, alert.batch_name, alert.sensor);
  }
  if (const auto kind = system_alert_kind_named(alert.kind)) return system_alert_title(*kind, alert.state);
  return alert.kind;
}

FoldReason reason_of(Together together) {
  if (together == Together::quiet_hours) return FoldReason::quiet_hours;
  return together == Together::sent_late ? FoldReason::sent_late : FoldReason::at_once;
}

// Whether every alert raised in a message is withdrawn in it too.
bool all_over(const std::vector<FoldedAlert>& alerts) {
  return std::all_of(alerts.begin(), alerts.end(), [&](const FoldedAlert& a) {
    return a.state == Decision::State::withdrawn ||
           std::any_of(alerts.begin(), alerts.end(), [&](const FoldedAlert& b) {
             return b.state == Decision::State::withdrawn && b.kind == a.kind && b.batch == a.batch &&
                    b.sensor == a.sensor && b.step == a.step && b.time >= a.time;
           });
  });
}

}  // namespace

Notice outgoing_notice(const Parcel& parcel, std::span<const Waiting> inside,
                       const DisplaySettings& display) {
  const Waiting& first = inside.front();
  Notice notice{};
  notice.id = fmt::format("gylekeeper-{}", parcel.number);
  if (parcel.together == Together::alone) {
    const StoredAlert& alert = first.alert;
    notice.time = alert.time;
    notice.kind = alert.kind;
    notice.severity = alert.severity;
    notice.state = name(alert.state);
    notice.vessel = alert.vessel;
    notice.batch = alert.batch_name;
    notice.sensor = alert.sensor;
    notice.title = title_of(alert);
    notice.text = alert.sentence;
    notice.evidence_json = alert.evidence;
    if (first.reminder > 0) {
      notice.state = "reminder";
      notice.title = reminder_title(notice.title);
      notice.text = reminder_sentence(alert.sentence, alert.time, parcel.packed, display);
    }
    return notice;
  }
  std::vector<FoldedAlert> folded;
  notice.time = first.alert.time;
  notice.severity = Severity::debug;
  Time from = first.alert.time;
  for (const Waiting& one : inside) {
    const StoredAlert& a = one.alert;
    folded.push_back({a.time, a.kind, a.state, a.vessel, a.batch_name, a.sensor, a.step, a.sentence});
    notice.time = std::max(notice.time, a.time);
    from = std::min(from, a.time);
    notice.severity = std::min(notice.severity, a.severity);
  }
  if (all_over(folded)) notice.severity = Severity::informational;
  Summary summary = summary_of(folded, reason_of(parcel.together), from, notice.time, display);
  notice.kind = "summary";
  notice.state = name(Decision::State::raised);
  notice.title = std::move(summary.title);
  notice.text = std::move(summary.text);
  notice.evidence_json = "{}";
  return notice;
}

}  // namespace gyle
