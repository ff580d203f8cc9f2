#include "wording/system_alert_sentences.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

struct Subject {
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

std::string started(const Subject& s) {
  if (!s.has("stopped_time")) return "Gylekeeper is running and watches your vessels. Nothing to do.";
  return fmt::format(
      "Gylekeeper is running again; it was stopped on {}{}. It now reads what the broker kept, and alerts "
      "about that come late. Nothing to do.",
      s.moment("stopped_time"), s.has("away_hours") ? " and away for " + length(s.number("away_hours")) : "");
}

std::string restarted(const Subject& s) {
  std::string text = "Gylekeeper was not stopped properly and runs again";
  if (s.has("away_hours") && s.has("last_alive_time")) {
    text += fmt::format("; it was away for {}, since {}", length(s.number("away_hours")),
                        s.moment("last_alive_time"));
  } else if (s.has("last_alive_time")) {
    text += fmt::format("; it was last alive on {}", s.moment("last_alive_time"));
  }
  if (s.number("kills_in_a_row") >= 2) {
    return text + fmt::format(
                      ". That has happened {:.0f} times in a row, each within an hour of the start. Look at "
                      "its log and the machine's memory today: until then your beer is watched with gaps.",
                      s.number("kills_in_a_row"));
  }
  return text +
         ". It now reads what the broker kept; what nobody kept is missing from the curves. If you did not "
         "cut the power or stop it, look at its log: it may happen again.";
}

std::string disk_low(const Subject& s) {
  const std::string space = s.has("free_bytes") ? show_bytes(s.number("free_bytes")) : "little";
  if (!s.raised) return fmt::format("The disk has room again: {} are free. Nothing to do.", space);
  const double left = s.number("days_left");
  const std::string lasts = !std::isfinite(left) ? ""
                            : left < 1
                                ? ", enough for less than a day at the recent pace"
                                : fmt::format(", enough for about {} at the recent pace", length(24 * left));
  const std::string own = s.has("database_bytes") ? fmt::format(" Its own database takes {}.",
                                                                show_bytes(s.number("database_bytes")))
                                                  : "";
  return fmt::format(
      "The watcher's disk is nearly full: {} are left{}.{} Delete what is not needed or give it more room "
      "before it is full: then no reading can be stored, and no beer is watched.",
      space, lasts, own);
}

std::string broker_lost(const Subject& s) {
  if (!s.raised) {
    const bool known = s.has("lost_hours") && s.has("lost_since_time");
    return fmt::format(
        "The MQTT broker is back{}. What it kept is read now, and alerts about that come late. Nothing to "
        "do.",
        known ? fmt::format("; it was out of reach for {}, since {}", length(s.number("lost_hours")),
                            s.moment("lost_since_time"))
              : "");
  }
  return fmt::format(
      "The MQTT broker has been out of reach since {}, so no beer is watched. {} Gylekeeper keeps trying; "
      "until it gets through, look at your beer yourself.",
      s.moment("lost_since_time"),
      s.number("never_reached") == 1
          ? "It has not been reached since the start: check that it runs, and its address, user and password "
            "in the configuration."
          : "Check that the broker runs, has power and can be reached over the network.");
}

std::string clock_jumped(const Subject& s) {
  const double jump = s.number("jump_seconds");
  constexpr const char* kMeaning =
      " If it is wrong now, forecasts and quiet hours are wrong too: see that the machine sets its clock "
      "from the network. Otherwise there is nothing to do.";
  if (!std::isfinite(jump)) return std::string("The watcher's clock was changed.") + kMeaning;
  const double size = std::min(std::abs(jump), 3e9);
  const std::string by = size < 120 ? fmt::format("{:.0f} s", size) : length(size / 3600);
  if (s.has("last_alive_time")) {
    return fmt::format(
        "The watcher's clock is at least {} behind: it had reached {} before, and now it is earlier.{}", by,
        s.moment("last_alive_time"), kMeaning);
  }
  return fmt::format("The watcher's clock was set {} by {}{}. {}{}", jump > 0 ? "forward" : "back", by,
                     s.has("jumped_time") ? ", on " + s.moment("jumped_time") : "",
                     jump > 0 ? "Sensors may seem to have been silent for so long."
                              : "Older readings may seem to come from the future.",
                     kMeaning);
}

std::string clock_behind(const Subject& s) {
  const std::string shown = s.has("clock_time") && s.has("message_time")
                                ? show_time_from(s.time("clock_time"), s.display, s.time("message_time"))
                                : "";
  if (s.raised) {
    return fmt::format(
        "The watcher's clock seems to be behind, so no beer is watched.{} Messages wait at the broker until "
        "it "
        "is right: set it today, and see that the machine sets it from the network. If it is right, set the "
        "clock of the sensor that is ahead.",
        shown.empty() ? ""
                      : fmt::format(" It says {}, but a message is of {}.", shown,
                                    show_time_from(s.time("message_time"), s.display, s.time("clock_time"))));
  }
  if (s.number("still_behind") != 1) {
    return "The watcher's clock is no longer behind. What the broker kept is read now, and alerts about that "
           "come late. Nothing to do.";
  }
  return fmt::format(
      "Messages are taken again by the watcher's clock as it is.{} If that is wrong, set it; if it is right, "
      "the clock of a sensor is ahead: set that one.",
      shown.empty() ? "" : " It says " + shown + ".");
}

std::string database_unwritable(const Subject& s) {
  if (!s.raised) {
    return "The watcher's database can be written again. The readings that the broker kept are read now, and "
           "what they show is reported late. Nothing to do.";
  }
  return "The watcher's database cannot be written, so no reading is stored and no beer is watched. "
         "The log and `gylekeeper status` say why: often the disk is full, or the file was moved. Correct "
         "that "
         "soon: until then only what the broker keeps can be read later, so look at your beer yourself.";
}

std::string database_damaged(const Subject& s) {
  if (!s.raised) return "The watcher's database was found whole at this start. Nothing to do.";
  return "The watcher's database is damaged. It is used as far as it can be read, but readings may be "
         "missing "
         "and more may be lost. Stop gylekeeperd soon, then use `gylekeeper restore` with a backup, or "
         "`gylekeeper salvage`, which saves what can still be read. The disk may be failing: replace it if "
         "this comes back.";
}

std::string database_new(const Subject&) {
  return "The watcher's database was gone at this start, so a new, empty one was begun. No batch of before "
         "is "
         "watched. If you did not delete it: stop gylekeeperd, then put the old file back, or use "
         "`gylekeeper "
         "restore` with a backup.";
}

std::string message_unstorable(const Subject&) {
  return "A message could not be stored and was refused; the others go on. `gylekeeper refusals` shows it "
         "and "
         "says why. This is a fault of the program or of the database: run `gylekeeper check`, and report "
         "it if the database is whole.";
}

std::string digest(const Subject&) { return "This is the daily look at your beer."; }

std::string test(const Subject&) {
  return "This is a test: if you can read it, alerts reach you this way. Nothing to do.";
}

struct Row {
  SystemAlertKind kind;
  Severity severity;
  const char* title;
  const char* title_withdrawn;
  std::string (*sentence)(const Subject&);
};
constexpr std::array<Row, 12> kRows{{
    {SystemAlertKind::watcher_started, Severity::informational, "running", "running", started},
    {SystemAlertKind::watcher_restarted, Severity::warning, "was not stopped properly, runs again",
     "runs again", restarted},
    {SystemAlertKind::disk_low, Severity::error, "the disk is nearly full", "the disk has room again",
     disk_low},
    {SystemAlertKind::broker_lost, Severity::error, "no connection, no beer is watched", "the broker is back",
     broker_lost},
    {SystemAlertKind::clock_jumped, Severity::warning, "the clock was changed", "the clock was changed",
     clock_jumped},
    // Critical: quiet hours are wrong by a wrong clock.
    {SystemAlertKind::clock_behind, Severity::critical, "the clock is behind, no beer is watched",
     "messages are taken again", clock_behind},
    {SystemAlertKind::database_unwritable, Severity::critical, "nothing can be stored, no beer is watched",
     "the database can be written again", database_unwritable},
    {SystemAlertKind::database_damaged, Severity::critical, "the database is damaged",
     "the database is whole", database_damaged},
    {SystemAlertKind::database_new, Severity::error, "a new database was begun", "a new database was begun",
     database_new},
    {SystemAlertKind::message_unstorable, Severity::error, "a message cannot be stored",
     "a message cannot be stored", message_unstorable},
    {SystemAlertKind::digest, Severity::informational, "your beer today", "your beer today", digest},
    {SystemAlertKind::test, Severity::informational, "a test", "a test", test},
}};

const Row& row_of(SystemAlertKind kind) {
  return *std::find_if(kRows.begin(), std::prev(kRows.end()),
                       [kind](const Row& r) { return r.kind == kind; });
}

}  // namespace

std::string system_alert_sentence(SystemAlertKind kind, Decision::State state, const Evidence& evidence,
                                  const DisplaySettings& display) {
  return row_of(kind).sentence({evidence, display, state == Decision::State::raised});
}

std::string system_alert_title(SystemAlertKind kind, Decision::State state) {
  const Row& row = row_of(kind);
  return fmt::format("Gylekeeper: {}", state == Decision::State::raised ? row.title : row.title_withdrawn);
}

Severity severity_of(SystemAlertKind kind) { return row_of(kind).severity; }

}  // namespace gyle
