#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace gyle {

// The kinds of system alerts: about the daemon itself, not about a batch.
enum class WatcherKind {
  watcher_started,    // after a clean stop, or for the first time
  watcher_restarted,  // it had been killed
  disk_low,
  broker_lost,
  clock_jumped,
  clock_late,           // messages show that it is behind, and wait
  database_unwritable,  // nothing can be stored
  database_damaged,     // what is stored is damaged
  database_new,         // a new one was created although there had been one
  message_unstorable,   // the database can never store this message
  digest,
  test,
};

namespace watcher_kind {
struct Row {
  WatcherKind kind;
  const char* word;
};
inline constexpr std::array<Row, 12> kWords{{
    {WatcherKind::watcher_started, "watcher-started"},
    {WatcherKind::watcher_restarted, "watcher-restarted"},
    {WatcherKind::disk_low, "disk-low"},
    {WatcherKind::broker_lost, "broker-lost"},
    {WatcherKind::clock_jumped, "clock-jumped"},
    {WatcherKind::clock_late, "clock-late"},
    {WatcherKind::database_unwritable, "database-unwritable"},
    {WatcherKind::database_damaged, "database-damaged"},
    {WatcherKind::database_new, "database-new"},
    {WatcherKind::message_unstorable, "message-unstorable"},
    {WatcherKind::digest, "digest"},
    {WatcherKind::test, "test"},
}};
}  // namespace watcher_kind

// The word used in configuration, JSON and topics.
constexpr const char* name(WatcherKind kind) {
  for (const watcher_kind::Row& row : watcher_kind::kWords) {
    if (row.kind == kind) return row.word;
  }
  return "unknown";
}

constexpr std::optional<WatcherKind> watcher_kind_named(std::string_view text) {
  for (const watcher_kind::Row& row : watcher_kind::kWords) {
    if (text == row.word) return row.kind;
  }
  return std::nullopt;
}

}  // namespace gyle
