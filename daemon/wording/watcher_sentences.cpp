#include "wording/watcher_sentences.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

struct Told {
  const Evidence& evidence;
  const DisplaySettings& display;
  bool raised;

  double number(const char* name) const { return find(evidence, name).value_or(std::nan("")); }
  bool has(const char* name) const { return std::isfinite(number(name)); }
  Time time(const char* name) const { return Time(Duration(std::llround(number(name) * 1000))); }
  std::string moment(const char* name) const {
    return has(name) ? show_time(time(name), display) : "some time ago";
  }
};

// " It watches 2 batches."
std::string batches(const Told& t) {
  if (!t.has("batches_watched")) return "";
  const double n = t.number("batches_watched");
  if (n == 0) return " There is no batch to watch yet.";
  return fmt::format(" It watches {:.0f} {}.", n, n == 1 ? "batch" : "batches");
}

std::string started(const Told& t) { return "Gylekeeper is running." + batches(t) + " Nothing to do."; }

std::string restarted(const Told& t) {
  const bool known = t.has("last_alive_time") && t.has("started_time");
  const std::string away = known
                               ? fmt::format("; it was away for {}, from {} to {}",
                                             show_length(t.time("started_time") - t.time("last_alive_time")),
                                             t.moment("last_alive_time"), t.moment("started_time"))
                               : "";
  return fmt::format(
      "Gylekeeper runs again after it was not stopped properly{}. Nothing that was stored is lost. "
      "The readings that the broker kept are read now, and what they show is told late; what "
      "nobody kept is missing from the curves.{} If you did not cut the power or stop it, look at its log: "
      "what stopped it may do so again.",
      away, batches(t));
}

std::string disk_low(const Told& t) {
  const std::string space = t.has("free_byte") ? show_bytes(t.number("free_byte")) : "little";
  if (!t.raised) return fmt::format("The disk has room again: {} are free. Nothing to do.", space);
  const std::string lasts =
      t.has("days_left")
          ? t.number("days_left") < 1
                ? ", which lasts for less than a day at today's rate"
                : fmt::format(", which lasts for about {} at today's rate",
                              show_length(from_hours(24 * std::clamp(t.number("days_left"), 0.0, 1e5))))
          : "";
  return fmt::format(
      "The disk of the watcher is nearly full: {} are left{}. Delete what is not needed or give "
      "it more room. When it is full no reading can be stored: your beer is no longer watched until there is "
      "room, and only what the broker keeps meanwhile is read later.",
      space, lasts);
}

std::string broker_lost(const Told& t) {
  if (!t.raised) {
    const bool known = t.has("lost_time") && t.has("back_time");
    return fmt::format(
        "The broker is back{}. The readings that it kept are read now, and what they show is told late. "
        "Nothing to do.",
        known ? fmt::format(": reached again on {}, after {}", t.moment("back_time"),
                            show_length(t.time("back_time") - t.time("lost_time")))
              : "");
  }
  return fmt::format(
      "The MQTT broker has been out of reach since {}, so no beer is watched. "
      "See that the broker runs, that it has power and that the network between it and the watcher works. "
      "The watcher tries again by itself. Until it gets through you are told nothing about any beer: "
      "look at it yourself now and then.",
      t.moment("lost_time"));
}

std::string clock_jumped(const Told& t) {
  const double jump = t.number("jump_seconds");
  const bool known = std::isfinite(jump);
  const double size = std::min(std::abs(jump), 3e9);
  const std::string by = !known       ? ""
                         : size < 120 ? fmt::format(" by {:.0f} s", size)
                                      : " by " + show_length(from_hours(size / 3600));
  const char* way = !known ? "" : jump > 0 ? " forward" : " back";
  return fmt::format(
      "The clock of the watcher was put{}{}. {} See that the machine sets its clock from the network; "
      "if it was right to change, there is nothing to do. While it is wrong, quiet hours, forecasts and what "
      "is "
      "due "
      "by the day come at wrong times.",
      way, by,
      known && jump < 0 ? "Readings from before the change may seem to come from the future."
                        : "It may seem as if nothing had been heard for so long.");
}

std::string digest(const Told&) { return "This is the daily look at your beer."; }

std::string test(const Told&) {
  return "This is a test: if you can read it, alerts reach you this way. Nothing to do.";
}

struct Row {
  WatcherKind kind;
  Severity severity;
  const char* title;
  const char* title_withdrawn;
  std::string (*sentence)(const Told&);
};
constexpr std::array<Row, 7> kRows{{
    {WatcherKind::watcher_started, Severity::informational, "running", "running", started},
    {WatcherKind::watcher_restarted, Severity::warning, "was not stopped properly, runs again", "runs again",
     restarted},
    {WatcherKind::disk_low, Severity::error, "the disk is nearly full", "the disk has room again", disk_low},
    {WatcherKind::broker_lost, Severity::error, "no connection, no beer is watched", "the broker is back",
     broker_lost},
    {WatcherKind::clock_jumped, Severity::warning, "the clock was changed", "the clock was changed",
     clock_jumped},
    {WatcherKind::digest, Severity::informational, "your beer today", "your beer today", digest},
    {WatcherKind::test, Severity::informational, "a test", "a test", test},
}};

const Row& row_of(WatcherKind kind) {
  return *std::find_if(kRows.begin(), std::prev(kRows.end()),
                       [kind](const Row& r) { return r.kind == kind; });
}

}  // namespace

std::string watcher_sentence(WatcherKind kind, Decision::State state, const Evidence& evidence,
                             const DisplaySettings& display) {
  return row_of(kind).sentence({evidence, display, state == Decision::State::raised});
}

std::string watcher_title(WatcherKind kind, Decision::State state) {
  const Row& row = row_of(kind);
  return fmt::format("Gylekeeper: {}", state == Decision::State::raised ? row.title : row.title_withdrawn);
}

Severity severity_of(WatcherKind kind) { return row_of(kind).severity; }

std::optional<Severity> watcher_severity(std::string_view kind) {
  const std::optional<WatcherKind> known = watcher_kind_named(kind);
  return known ? std::optional(severity_of(*known)) : std::nullopt;
}

}  // namespace gyle
