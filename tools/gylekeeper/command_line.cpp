#include "command_line.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <limits>

#include "rehearsal/scenario.h"

namespace gyle {
namespace {

using Parsed = CommandLine;

constexpr const char* kTimes =
    "Times are in the brewer's time zone, as the configuration says: \"2026-03-05 18:30\",\n"
    "\"2026-03-05\" (its midnight), \"18:30\", \"sat 18:00\", \"saturday\". Of a time that comes\n"
    "twice, when clocks are put back, the earlier is meant. Or with the offset from UTC:\n"
    "2026-03-05T18:30:00+01:00.";

// CLI11 reads -1 as a very large number without a sign.
std::string not_negative(const std::string& text) {
  return text.starts_with('-') ? "must not be negative" : "";
}

std::string positive(const std::string& text) {
  const bool zero = text.find_first_not_of('0') == std::string::npos;
  return zero || text.starts_with('-') ? "must be above 0" : "";
}

// Adds a verb whose options are filled in as the arguments are read; only the verb that was given counts.
template <class Options>
CLI::App* add_verb(CLI::App& app, Parsed& parsed, Options& options, const char* name, const char* about) {
  CLI::App* verb = app.add_subcommand(name, about);
  verb->callback([&parsed, &options] { parsed.verb = options; });
  return verb;
}

void add_pitch(CLI::App& app, Parsed& parsed, PitchOptions& o) {
  CLI::App* verb = add_verb(app, parsed, o, "pitch", "start a batch in a vessel");
  verb->add_option("--vessel", o.vessel, "the vessel, as the configuration calls it")->required();
  auto* file = verb->add_option("--batch", o.batch_file, "BATCH.toml that describes the batch");
  auto* name = verb->add_option("--name", o.name, "what the batch is called");
  verb->add_option("--pitched", o.pitched,
                   "when the yeast went in, as \"2026-03-01 18:30\", 18:30 today or \"sat 18:30\", the last "
                   "one; now when not given");
  for (CLI::Option* option :
       {name,
        verb->add_option("--original-gravity", o.original_gravity,
                         "1.048, or \"12 P\"; inferred if not given"),
        verb->add_option("--volume", o.volume, "\"20 L\" or \"5.5 gal\""),
        verb->add_option("--yeast", o.yeast, "what the yeast is called"),
        verb->add_option("--attenuation", o.attenuation,
                         "expected apparent attenuation, low:high, as 0.73:0.79"),
        verb->add_option("--yeast-range", o.yeast_range,
                         "temperatures the yeast is happy in, low:high, as \"16 Cel:22 Cel\""),
        verb->add_option("--hold", o.holds,
                         "a temperature of the plan and what ends it, once for each hold in order: "
                         "\"18 Cel until 75 %\" (of the expected attenuation), \"20 Cel until 1.014\", "
                         "\"12 Cel for 7 d\", \"22 Cel until final gravity\"")}) {
    option->excludes(file);
  }
  verb->footer(kTimes);
  verb->callback([&parsed, &o] {
    if (!o.batch_file && o.name.empty()) throw CLI::RequiredError("--name or --batch");
    parsed.verb = o;
  });
}

void add_forecast(CLI::App& app, Parsed& parsed, ForecastOptions& o, const char* which) {
  CLI::App* verb =
      add_verb(app, parsed, o, "forecast", "when a batch will be ready, and what another hold would change");
  verb->add_option("batch", o.batch, which)->required();
  auto* hold = verb->add_option("--hold", o.hold, "and if it were held at this temperature? \"22 Cel\"");
  verb->add_option("--from", o.from,
                   "when that hold begins, as 18:00, the next, or \"2026-03-12 18:00\"; now when not given")
      ->needs(hold);
  verb->add_option("--ready-by", o.ready_by,
                   "the chance that it can be packaged by then, as \"sat 18:00\", the next");
  verb->footer(fmt::format("{}\nExample: gylekeeper forecast left --hold \"22 Cel\" --ready-by \"sat 18:00\"",
                           kTimes));
}

void add_sample(CLI::App& app, Parsed& parsed, SampleOptions& o, const char* which) {
  CLI::App* verb = add_verb(app, parsed, o, "sample", "enter a gravity that was measured by hand");
  verb->add_option("batch", o.batch, which)->required();
  verb->add_option("gravity", o.reading,
                   "1.012 or \"3.1 P\"; with --refractometer degrees Brix or Plato, as 6.2")
      ->required();
  verb->add_option("--at", o.time,
                   "when it was taken, as 18:00 today or \"thu 18:00\", the last one; now when not given");
  auto* temperature = verb->add_option("--temperature", o.temperature,
                                       "of the sample, as \"24 Cel\"; the reading is then corrected");
  verb->add_option("--calibrated-at", o.calibrated_at,
                   "what the hydrometer is made for; \"20 Cel\" when not given")
      ->needs(temperature);
  auto* refractometer =
      verb->add_flag("--refractometer", o.refractometer,
                     "measured with a refractometer: corrected for the alcohol, by the original gravity");
  refractometer->excludes(temperature);
  verb->add_option("--wort-correction", o.wort_correction, "of the refractometer; 1.04 when not given")
      ->needs(refractometer);
  verb->footer(
      fmt::format("{}\nExample: gylekeeper sample left 1.012 --temperature \"24 Cel\" --at 18:00\n"
                  "         gylekeeper sample left 6.2 --refractometer",
                  kTimes));
}

void add_report(CLI::App& app, Parsed& parsed, ReportOptions& o) {
  CLI::App* verb =
      add_verb(app, parsed, o, "report",
               "the story of a batch as one HTML file, to keep and to print; of several, compared");
  verb->add_option("batch", o.batches, "batches: their vessels, names or numbers; up to 6")
      ->required()
      ->expected(1, 6);
  verb->add_option("--output", o.output, "writes it there instead of to the terminal");
  verb->footer("Example: gylekeeper report \"Harbour amber\" --output harbour-amber.html");
}

void add_export(CLI::App& app, Parsed& parsed, ExportOptions& o, const char* which) {
  CLI::App* verb = add_verb(app, parsed, o, "export", "a batch as CSV for a spreadsheet or a program");
  verb->add_option("batch", o.batch, which)->required();
  verb->add_option("--what", o.what, "raw, curve or alerts")
      ->required()
      ->check(CLI::IsMember({"raw", "curve", "alerts"}));
  verb->add_option("--output", o.output, "writes it there instead of to the terminal");
  verb->footer(
      "CSV as of RFC 4180, in UTF-8; times in UTC. Text that a spreadsheet could take for a formula has an\n"
      "apostrophe before it. The columns:\n"
      "  raw     number, time_utc, received_utc, sensor, quantity, value, unit (SG, deg, Cel or V), "
      "time_quality\n"
      "          (stamped by the sensor, arrival, or backlog: measured some time before it arrived)\n"
      "  curve   time_utc, gravity_raw_sg (as the float said), gravity_sg (the estimate), gravity_low_sg "
      "and\n"
      "          gravity_high_sg (its 80 % interval), temperature_celsius, attenuation_fraction, standing\n"
      "  alerts  time_utc, kind, severity, state (raised or withdrawn), hold_number, sensor, text, evidence\n"
      "Example: gylekeeper export left --what raw --output readings.csv");
}

void add_replay(CLI::App& app, Parsed& parsed, ReplayOptions& o) {
  CLI::App* verb =
      add_verb(app, parsed, o, "replay", "judge recorded readings as the daemon would have, without it");
  verb->add_option("--batch", o.batch, "BATCH.toml")->required();
  verb->add_option("--readings", o.readings, "READINGS.csv: time,sensor,quantity,value")->required();
  verb->add_option("--alerts", o.alerts, "writes the alerts there, one JSON object a line");
  verb->add_option("--curve", o.curve, "writes the curve there, as CSV");
  verb->add_option("--forecasts", o.forecasts, "writes the forecasts there, as CSV");
}

void add_rehearse(CLI::App& app, Parsed& parsed, RehearseOptions& o) {
  CLI::App* verb = add_verb(app, parsed, o, "rehearse", "publish the sensors of a made-up batch");
  const auto names = scenario_names();
  o.scenario = names.front();
  verb->add_option("--scenario", o.scenario, fmt::format("one of {}", fmt::join(names, ", ")))
      ->capture_default_str();
  verb->add_option("--seed", o.seed, "another seed, another batch of the same scenario")
      ->check(not_negative)
      ->capture_default_str();
  verb->add_option_function<std::string>(
          "--speed",
          [&o](const std::string& text) {
            if (text == "max") {
              o.speed = std::numeric_limits<double>::infinity();
            } else if (!CLI::detail::lexical_cast(text, o.speed) || !(o.speed >= 0.001 && o.speed <= 1e9)) {
              throw CLI::ValidationError("--speed", "must be a number from 0.001 to 1e9, or max");
            }
          },
          "how many times faster than life, or max; 1 when not given")
      ->type_name("NUMBER");
  verb->add_option("--interval", o.interval, "between the messages of a sensor, as \"15 min\"");
  verb->add_option(
      "--pitched", o.pitched,
      "when the batch begins, as \"2026-03-01 18:30\"; when not given, now, or at another speed, so that it "
      "ends about now");
  verb->add_option("--broker", o.broker, "mqtt://HOST:PORT; the configured one when not given");
  verb->add_option("--topic", o.topic, "published to TOPIC/<sensor>")->capture_default_str();
  verb->add_option("--write-batch", o.write_batch, "writes the BATCH.toml that fits there");
  verb->add_option("--write-readings", o.write_readings, "writes the readings there, as READINGS.csv");
  verb->add_flag("--dry-run", o.dry_run, "write the files, publish nothing");
  verb->add_flag("--quiet", o.quiet, "say nothing while it goes well");
  verb->footer(kTimes);
}

}  // namespace

std::variant<CommandLine, Exit> parse_command_line(int argc, const char* const* argv) {
  CLI::App app("Keeps watch over fermenting beer: talks to the running daemon, or works without it.",
               "gylekeeper");
  app.set_version_flag("--version", "gylekeeper " GYLE_VERSION);
  app.require_subcommand(1);
  app.fallthrough();

  Parsed parsed;
  CommonOptions& common = parsed.common;
  app.add_option("--config", common.config, "configuration; /etc/gylekeeper/gylekeeper.toml when not given");
  app.add_option("--socket", common.socket,
                 "the daemon's control socket; as the configuration says when not given");
  app.add_flag("--json", common.json, "answer in JSON, for machines");

  PitchOptions pitch;
  PackageOptions package;
  StatusOptions status;
  CurveOptions curve;
  ExportOptions exported;
  ReportOptions report;
  AlertsOptions alerts;
  AcknowledgeOptions acknowledge;
  SnoozeOptions snooze;
  ChannelsOptions channels;
  AlertTestOptions alert_test;
  ExplainOptions explain;
  ForecastOptions forecast;
  SampleOptions sample;
  NoteOptions note;
  NotesOptions notes;
  SensorsOptions sensors;
  RefusalsOptions refusals;
  ReplayOptions replay;
  RehearseOptions rehearse;
  ListenOptions listen;

  const char* const which = "the batch: its vessel, its name or its number";
  add_pitch(app, parsed, pitch);

  CLI::App* verb = add_verb(app, parsed, package, "package", "end a batch: it has left its vessel");
  verb->add_option("batch", package.batch, which)->required();
  verb->add_option("--time", package.time,
                   "when, as 10:00 today or \"2026-03-21 10:00\"; now when not given");
  verb->footer(kTimes);

  verb = add_verb(app, parsed, status, "status", "where every batch stands, three lines each");
  verb->add_option("batch", status.batch, which);

  verb = add_verb(app, parsed, curve, "curve", "the curve of a batch as CSV");
  verb->add_option("batch", curve.batch, which);
  verb->add_option("--output", curve.output, "writes it there instead of to the terminal");

  add_export(app, parsed, exported, which);
  add_report(app, parsed, report);

  verb = add_verb(app, parsed, alerts, "alerts", "what the brewer was told");
  verb->add_option("batch", alerts.batch, which);
  CLI::Option* follow = verb->add_flag("--follow", alerts.follow, "go on, and show what is said from now on");
  CLI::Option* standing = verb->add_flag("--standing", alerts.standing,
                                         "only what still stands, each with the number to acknowledge it by");
  verb->add_flag("--watcher", alerts.watcher, "what the watcher said of itself instead")
      ->excludes(follow)
      ->excludes(standing);
  verb->footer("Example: gylekeeper alerts --standing");

  const char* const which_alert = "its number, as gylekeeper alerts --standing shows it";
  verb = add_verb(app, parsed, acknowledge, "acknowledge", "no reminders of an alert any more");
  verb->add_option("alert", acknowledge.alert, which_alert)->required()->check(positive);
  verb->footer("Example: gylekeeper acknowledge 12");

  verb = add_verb(app, parsed, snooze, "snooze", "no reminder of an alert before some time");
  verb->add_option("alert", snooze.alert, which_alert)->required()->check(positive);
  verb->add_option("--until", snooze.until, "as 18:00, the next, or \"sat 9:00\"")->required();
  verb->footer(fmt::format("{}\nExample: gylekeeper snooze 12 --until \"sat 09:00\"", kTimes));

  verb = add_verb(app, parsed, channels, "channels",
                  "how the ways to reach you fare: what waits, what was refused");
  verb->add_option("--retry", channels.retry, "send again what this channel's far end refused");
  verb->footer("Example: gylekeeper channels --retry phone");

  verb = add_verb(app, parsed, alert_test, "alert-test", "send a test by the way that alerts go");
  verb->add_option("channel", alert_test.channel, "as the configuration calls it")->required();
  verb->footer("Example: gylekeeper alert-test phone");

  verb = add_verb(app, parsed, explain, "explain", "why a batch stands where it stands");
  verb->add_option("batch", explain.batch, which)->required();
  verb->footer("Example: gylekeeper explain left");

  add_forecast(app, parsed, forecast, which);
  add_sample(app, parsed, sample, which);

  verb = add_verb(app, parsed, note, "note", "write a note about a batch");
  verb->add_option("batch", note.batch, which)->required();
  verb->add_option("text", note.text, "up to 2000 characters")->required();
  verb->add_option("--at", note.time, "what time it is about, as 18:00 today; now when not given");
  verb->footer(fmt::format("{}\nExample: gylekeeper note left \"Dry hops, 40 g.\" --at 18:00", kTimes));

  verb = add_verb(app, parsed, notes, "notes", "what was written about a batch");
  verb->add_option("batch", notes.batch, which)->required();
  verb->footer("Example: gylekeeper notes left");

  verb = add_verb(app, parsed, sensors, "sensors",
                  "each sensor: when it was heard, what it says, its battery, what is wrong with it");
  verb->footer("Example: gylekeeper sensors");

  verb = add_verb(app, parsed, refusals, "refusals", "which messages were not used, and why");
  verb->add_option("--limit", refusals.limit, "so many of the newest, up to 1000")
      ->check(not_negative)
      ->check(CLI::Range(0U, 1000U))
      ->capture_default_str();
  verb->footer("Example: gylekeeper refusals --limit 5");

  add_replay(app, parsed, replay);
  add_rehearse(app, parsed, rehearse);

  verb =
      add_verb(app, parsed, listen, "listen", "show what arrives on the broker and what it is understood as");
  verb->add_option("--topic", listen.topics, "MQTT topic filters; every topic when not given");
  verb->add_option("--broker", listen.broker, "mqtt://HOST:PORT; the configured one when not given");
  verb->add_option("--count", listen.count, "stop after so many messages")->check(positive);

  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& told) {  // help or version was asked for
    app.exit(told);
    return Exit::ok;
  } catch (const CLI::ParseError& wrong) {
    fmt::print(stderr, "gylekeeper: {} (gylekeeper --help tells more)\n", wrong.what());
    return Exit::wrong_use;
  }
  return parsed;
}

}  // namespace gyle
