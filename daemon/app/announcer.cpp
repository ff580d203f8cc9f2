#include "app/announcer.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include "alerts/outgoing_notice.h"
#include "alerts/reminders.h"
#include "notices/evidence_json.h"

namespace gyle {
namespace {

// Names the digest of a day by its moment: days of the calendar would do only in UTC.
int digest_number(Time moment) { return static_cast<int>(moment.time_since_epoch() / minutes(1)); }

// What is stored has the number of its parcel in this place.
std::string unstored_id(const NewAlert& alert) {
  return fmt::format("gylekeeper-{}-{}", alert.kind, alert.time.time_since_epoch().count());
}

}  // namespace

Announcer::Announcer(Database& database, const AlertRouting& routing, std::function<void()> on_queued)
    : outbox_(database), routing_(routing), on_queued_(std::move(on_queued)) {}

bool Announcer::report(SystemAlertKind kind, Decision::State state, const Evidence& evidence, Time time,
                       const DisplaySettings& display) {
  NewAlert alert;
  alert.kind = name(kind);
  alert.state = state;
  alert.time = time;
  alert.severity = routing_.severity(alert.kind, severity_of(kind));
  alert.sentence = system_alert_sentence(kind, state, evidence, display);
  alert.evidence = evidence_json(evidence);
  auto channels = routing_.of(alert.severity, alert.kind, "", "");
  pending_.push_back({std::move(alert), std::move(channels)});
  catch_up();
  if (pending_.empty()) return true;
  spdlog::error("{}", pending_.back().alert.sentence);
  return false;
}

std::optional<Announcer::Unstored> Announcer::last_unstored(const DisplaySettings& display) const {
  if (pending_.empty()) return std::nullopt;
  const Pending& last = pending_.back();
  Waiting one{};
  static_cast<NewAlert&>(one.alert) = last.alert;
  Notice notice = outgoing_notice(Parcel{}, std::span(&one, 1), display);
  notice.id = unstored_id(last.alert);
  return Unstored{std::move(notice), last.channels};
}

void Announcer::arrived_unstored(const std::string& notice, const std::string& channel) {
  for (Pending& one : pending_) {
    if (unstored_id(one.alert) == notice) std::erase(one.channels, channel);
  }
}

void Announcer::catch_up() {
  bool news = false;
  while (!pending_.empty()) {
    const Pending& next = pending_.front();
    const auto stored = outbox_.record(next.alert, next.channels);
    if (!stored) spdlog::error("{}", stored.error().message);
    if (!stored && stored.error().worth_retrying()) break;
    news = news || stored;
    pending_.pop_front();
  }
  if (news) on_queued_();
}

void Announcer::remind(Time now) {
  const auto open = outbox_.open();
  if (!open) {
    spdlog::error("{}", open.error().message);
    return;
  }
  bool news = false;
  for (const StoredAlert& alert : open.value()) {
    const int number =
        reminder_due(alert.kind, {alert.time, alert.acknowledged.has_value(), alert.snoozed_until}, now);
    if (number == 0) continue;
    const auto added = outbox_.remind(
        alert.id, number, routing_.of_reminder(alert.severity, alert.kind, alert.vessel, alert.batch_name));
    if (!added) {
      spdlog::error("{}", added.error().message);
      return;
    }
    news = news || added.value();
  }
  if (news) on_queued_();
}

void Announcer::digest(std::span<const DigestEntry> entries, Time day, Time now,
                       const DisplaySettings& display) {
  NewAlert alert;
  alert.kind = name(SystemAlertKind::digest);
  alert.occurrence = digest_number(day);
  alert.time = now;
  alert.severity = severity_of(SystemAlertKind::digest);
  alert.sentence = digest_text(entries, now, display);
  const auto stored = outbox_.record(alert, routing_.of_digest());
  if (!stored) {
    spdlog::error("{}", stored.error().message);
  } else if (stored.value()) {
    on_queued_();
  }
}

Result<std::int64_t> Announcer::test(const std::string& channel, Time now, const DisplaySettings& display) {
  NewAlert alert;
  alert.kind = name(SystemAlertKind::test);
  alert.time = now;
  alert.severity = severity_of(SystemAlertKind::test);
  alert.sentence = system_alert_sentence(SystemAlertKind::test, Decision::State::raised, {}, display);
  BOOST_OUTCOME_TRY(stored, outbox_.record(alert, std::span(&channel, 1)));
  on_queued_();
  return *stored;
}

}  // namespace gyle
