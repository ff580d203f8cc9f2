#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace gyle {

// What is told about the watcher itself rather than about a batch.
enum class WatcherKind {
  watcher_started,    // after a clean stop, or for the first time
  watcher_restarted,  // it had been killed
  disk_low,
  broker_lost,
  clock_jumped,
  digest,
  test,
};

namespace watcher_kind {
struct Row {
  WatcherKind kind;
  const char* word;
};
inline constexpr std::array<Row, 7> kWords{{
    {WatcherKind::watcher_started, "watcher-started"},
    {WatcherKind::watcher_restarted, "watcher-restarted"},
    {WatcherKind::disk_low, "disk-low"},
    {WatcherKind::broker_lost, "broker-lost"},
    {WatcherKind::clock_jumped, "clock-jumped"},
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
