#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace gyle {

// The kinds of system alerts: about the daemon itself, not about a batch.
enum class SystemAlertKind {
  watcher_started,    // after a clean stop, or for the first time
  watcher_restarted,  // it had been killed
  disk_low,
  broker_lost,
  clock_jumped,
  clock_behind,         // messages show that it is behind, and wait
  database_unwritable,  // nothing can be stored
  database_damaged,     // what is stored is damaged
  database_new,         // a new one was created although there had been one
  message_unstorable,   // the database can never store this message
  digest,
  test,
};

namespace system_alert_kind {
struct Row {
  SystemAlertKind kind;
  const char* word;
};
inline constexpr std::array<Row, 12> kWords{{
    {SystemAlertKind::watcher_started, "watcher-started"},
    {SystemAlertKind::watcher_restarted, "watcher-restarted"},
    {SystemAlertKind::disk_low, "disk-low"},
    {SystemAlertKind::broker_lost, "broker-lost"},
    {SystemAlertKind::clock_jumped, "clock-jumped"},
    {SystemAlertKind::clock_behind, "clock-behind"},
    {SystemAlertKind::database_unwritable, "database-unwritable"},
    {SystemAlertKind::database_damaged, "database-damaged"},
    {SystemAlertKind::database_new, "database-new"},
    {SystemAlertKind::message_unstorable, "message-unstorable"},
    {SystemAlertKind::digest, "digest"},
    {SystemAlertKind::test, "test"},
}};
}  // namespace system_alert_kind

// The word used in configuration, JSON and topics.
constexpr const char* name(SystemAlertKind kind) {
  for (const system_alert_kind::Row& row : system_alert_kind::kWords) {
    if (row.kind == kind) return row.word;
  }
  return "unknown";
}

constexpr std::optional<SystemAlertKind> system_alert_kind_named(std::string_view text) {
  for (const system_alert_kind::Row& row : system_alert_kind::kWords) {
    if (text == row.word) return row.kind;
  }
  return std::nullopt;
}

}  // namespace gyle
