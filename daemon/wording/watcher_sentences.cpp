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
  Time time(const char* name) const {
    return Time(Duration(std::llround(std::clamp(number(name), 0.0, 2e11) * 1000)));
  }
  std::string moment(const char* name) const {
    return has(name) ? show_time(time(name), display) : "some time ago";
  }
};

std::string length(double hours_long) {
  if (std::abs(hours_long) < 1.0 / 60) return "less than a minute";
  return show_length(from_hours(std::clamp(hours_long, -1e7, 1e7)));
}

std::string started(const Told& t) {
  if (!t.has("stopped_time")) return "Gylekeeper is running, and watches what it is told to. Nothing to do.";
  return fmt::format(
      "Gylekeeper is running again; it was stopped on {}{}. The readings that the broker kept are read now, "
      "and what they show is told late. Nothing to do.",
      t.moment("stopped_time"), t.has("away_hours") ? " and away for " + length(t.number("away_hours")) : "");
}

std::string restarted(const Told& t) {
  std::string text = "Gylekeeper runs again after it was not stopped properly";
  if (t.has("away_hours") && t.has("last_alive_time")) {
    text += fmt::format("; it was away for {}, since {}", length(t.number("away_hours")),
                        t.moment("last_alive_time"));
  } else if (t.has("last_alive_time")) {
    text += fmt::format("; it was last alive on {}", t.moment("last_alive_time"));
  }
  text +=
      ". The readings that the broker kept are read now, and what they show is told late; what nobody kept "
      "is "
      "missing from the curves.";
  if (t.number("kills_in_a_row") >= 2) {
    return text +
           fmt::format(
               " That has happened {:.0f} times in a row, each within an hour of its start: something stops "
               "it. Look at its log and at the machine's memory; until it is found your beer is watched with "
               "gaps.",
               t.number("kills_in_a_row"));
  }
  return text + " If you did not cut the power or stop it, look at its log: what stopped it may do so again.";
}

std::string disk_low(const Told& t) {
  const std::string space = t.has("free_bytes") ? show_bytes(t.number("free_bytes")) : "little";
  if (!t.raised) return fmt::format("The disk has room again: {} are free. Nothing to do.", space);
  const double left = t.number("days_left");
  const std::string lasts =
      !std::isfinite(left) ? ""
      : left < 1           ? ", which lasts for less than a day at the pace of the last days"
                 : fmt::format(", which lasts for about {} at the pace of the last days", length(24 * left));
  const std::string own = t.has("database_bytes") ? fmt::format(" The watcher's own database takes {}.",
                                                                show_bytes(t.number("database_bytes")))
                                                  : "";
  return fmt::format(
      "The disk of the watcher is nearly full: {} are left{}.{} Delete what is not needed or give "
      "it more room. When it is full no reading can be stored: your beer is no longer watched until there is "
      "room, and only what the broker keeps meanwhile is read later.",
      space, lasts, own);
}

std::string broker_lost(const Told& t) {
  if (!t.raised) {
    const bool known = t.has("lost_hours") && t.has("lost_since_time");
    return fmt::format(
        "The MQTT broker is back{}. The readings that it kept are read now, and what they show is told late. "
        "Nothing to do.",
        known ? fmt::format("; it had been out of reach for {}, since {}", length(t.number("lost_hours")),
                            t.moment("lost_since_time"))
              : "");
  }
  return fmt::format(
      "The MQTT broker has been out of reach since {}, so no beer is watched. {} "
      "The watcher tries again by itself. Until it gets through you are told nothing about any beer: "
      "look at it yourself now and then.",
      t.moment("lost_since_time"),
      t.number("never_reached") == 1 ? "It has not been reached once since the watcher started: check the "
                                       "broker's address, user and password "
                                       "in the configuration, and that it runs."
                                     : "See that the broker runs, that it has power and that the network "
                                       "between it and the watcher works.");
}

std::string clock_jumped(const Told& t) {
  const double jump = t.number("jump_seconds");
  constexpr const char* kMeaning =
      " If that is wrong, quiet hours, forecasts and what is due by the day come at wrong times: see "
      "that the machine sets its clock from the network. If it was right to change, there is nothing to do.";
  if (!std::isfinite(jump)) return std::string("The clock of the watcher was changed.") + kMeaning;
  const double size = std::min(std::abs(jump), 3e9);
  const std::string by = size < 120 ? fmt::format("{:.0f} s", size) : length(size / 3600);
  if (t.has("last_alive_time")) {
    return fmt::format(
        "The clock of the watcher is at least {} behind: it ran until {} by the same clock, and now it is "
        "earlier.{}",
        by, t.moment("last_alive_time"), kMeaning);
  }
  return fmt::format("The clock of the watcher was put {} by {}{}. {}{}", jump > 0 ? "forward" : "back", by,
                     t.has("jumped_time") ? ", on " + t.moment("jumped_time") : "",
                     jump > 0 ? "It may seem as if nothing had been heard for so long."
                              : "Readings from before the change may seem to come from the future.",
                     kMeaning);
}

std::string database_unwritable(const Told& t) {
  if (!t.raised) {
    return "The watcher's database can be written again. The readings that the broker kept are read now, and "
           "what they show is reported late. Nothing to do.";
  }
  return "The watcher's database cannot be written, so no reading is stored and no beer is watched. "
         "The log and `gylekeeper status` say why: often the disk is full, or the file was moved. Correct "
         "that "
         "soon: until then only what the broker keeps can be read later, so look at your beer yourself.";
}

std::string database_damaged(const Told& t) {
  if (!t.raised) return "The watcher's database was found whole at this start. Nothing to do.";
  return "The watcher's database is damaged. It is used as far as it can be read, but readings may be "
         "missing "
         "and more may be lost. Stop gylekeeperd soon, then use `gylekeeper restore` with a backup, or "
         "`gylekeeper salvage`, which saves what can still be read. The disk may be failing: replace it if "
         "this comes back.";
}

std::string database_new(const Told&) {
  return "The watcher's database was gone at this start, so a new, empty one was begun. No batch of before "
         "is "
         "watched. If you did not delete it: stop gylekeeperd, then put the old file back, or use "
         "`gylekeeper "
         "restore` with a backup.";
}

std::string message_unstorable(const Told&) {
  return "A message could not be stored and was refused; the others go on. `gylekeeper refusals` shows it "
         "and "
         "says why. This is a fault of the program or of the database: run `gylekeeper check`, and report "
         "it if the database is whole.";
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
constexpr std::array<Row, 11> kRows{{
    {WatcherKind::watcher_started, Severity::informational, "running", "running", started},
    {WatcherKind::watcher_restarted, Severity::warning, "was not stopped properly, runs again", "runs again",
     restarted},
    {WatcherKind::disk_low, Severity::error, "the disk is nearly full", "the disk has room again", disk_low},
    {WatcherKind::broker_lost, Severity::error, "no connection, no beer is watched", "the broker is back",
     broker_lost},
    {WatcherKind::clock_jumped, Severity::warning, "the clock was changed", "the clock was changed",
     clock_jumped},
    {WatcherKind::database_unwritable, Severity::critical, "nothing can be stored, no beer is watched",
     "the database can be written again", database_unwritable},
    {WatcherKind::database_damaged, Severity::critical, "the database is damaged", "the database is whole",
     database_damaged},
    {WatcherKind::database_new, Severity::error, "a new database was begun", "a new database was begun",
     database_new},
    {WatcherKind::message_unstorable, Severity::error, "a message cannot be stored",
     "a message cannot be stored", message_unstorable},
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

}  // namespace gyle
