#include "alerts/parcel.h"

#include <fmt/format.h>

#include <algorithm>

#include "wording/alert_title.h"
#include "wording/summary.h"
#include "wording/watcher_sentences.h"

namespace gyle {
namespace {

std::string title_of(const StoredAlert& alert) {
  if (const auto kind = alert_kind_named(alert.kind)) {
    return alert_title(*kind, alert.state, alert.batch_name, alert.sensor);
  }
  if (const auto kind = watcher_kind_named(alert.kind)) return watcher_title(*kind, alert.state);
  return alert.kind;
}

FoldReason reason_of(std::span<const Waiting> inside, Together together) {
  if (together == Together::at_night) return FoldReason::quiet_hours;
  const bool tried =
      std::any_of(inside.begin(), inside.end(), [](const Waiting& w) { return w.attempts > 0; });
  // Whether the far end or the watcher was away does not matter to who reads it late.
  const bool late = tried || std::any_of(inside.begin(), inside.end(), [&](const Waiting& w) {
                      return inside.back().alert.time - w.alert.time > hours(6) || inside.size() == 1;
                    });
  return late ? FoldReason::told_late : FoldReason::at_once;
}

}  // namespace

Notice notice_of(std::int64_t parcel, std::span<const Waiting> inside, Together together,
                 const DisplaySettings& display, Time now) {
  const Waiting& first = inside.front();
  Notice notice{};
  notice.id = fmt::format("gylekeeper-{}", parcel);
  if (inside.size() == 1 && together == Together::alone) {
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
      notice.text = reminder_sentence(alert.sentence, alert.time, now, display);
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
    if (!a.over) notice.severity = std::min(notice.severity, a.severity);
  }
  if (notice.severity == Severity::debug) notice.severity = Severity::informational;  // all of it is over
  Summary summary = summary_of(folded, reason_of(inside, together), from, notice.time, display);
  notice.kind = "summary";
  notice.state = name(Decision::State::raised);
  notice.title = std::move(summary.title);
  notice.text = std::move(summary.text);
  notice.evidence_json = "{}";
  return notice;
}

}  // namespace gyle
