#include <fmt/format.h>

#include "control/request_target.h"
#include "control_client.h"
#include "csv_json.h"
#include "export_everything.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

constexpr const char* kColumns =
    "CSV as of RFC 4180, in UTF-8; times in UTC. Text that a spreadsheet could take for a formula has an "
    "apostrophe before it. The columns:\n\n"
    "raw: number, time_utc, received_utc, sensor, quantity, value, unit (SG, deg, Cel or V, as UCUM writes "
    "them), time_quality (stamped by the sensor, arrival, or backlog: measured some time before it "
    "arrived)\n\n"
    "curve: time_utc, gravity_raw_sg (as the hydrometer sent it), gravity_sg (the estimate), gravity_low_sg "
    "and gravity_high_sg (its 80 % interval), temperature_celsius, attenuation_fraction, stage\n\n"
    "alerts: time_utc, kind, severity, state (raised or withdrawn), hold_number, sensor, text, evidence\n\n"
    "notes: number, time_utc, text\n\n"
    "--everything writes a folder: batches.json (each with its description, notes, samples, alerts and "
    "amendments), yeasts.json, calibrations.json, watcher.json, for each batch the four tables above, and "
    "manifest.json, which lists them with their counts. The same folder may be given again.";

struct ExportOptions {
  std::string batch;
  std::string what;
  std::optional<std::filesystem::path> everything;
  std::optional<std::filesystem::path> output;
};

Exit write_everything(const ControlClient& daemon, const std::filesystem::path& folder,
                      const CommonOptions& common) {
  const auto manifest = export_everything(daemon, folder);
  if (!manifest) return complain(manifest.error());
  if (common.json) {
    fmt::print("{}", manifest.value());
  } else {
    fmt::print("Everything is in {}; manifest.json lists it.\n", folder.string());
  }
  return Exit::ok;
}

Exit run_export(const ExportOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  if (options.everything) return write_everything(ControlClient(socket.value()), *options.everything, common);
  if (options.batch.empty() || options.what.empty()) {
    return complain(Error{Errc::missing, "say which batch and --what of it, or --everything and a folder"},
                    Exit::wrong_use);
  }
  const std::string what = options.what == "raw" ? "readings" : options.what;
  const auto csv = ControlClient(socket.value())
                       .get_csv(fmt::format("/v1/batches/{}/{}.csv", percent_encoded(options.batch), what));
  return write_rows(csv, options.output, common);
}

}  // namespace

Verb export_verb() {
  const auto o = std::make_shared<ExportOptions>();
  return {.name = "export",
          .about = "a batch as CSV for a spreadsheet or a program, or everything into a folder",
          .arguments = {batch_argument(&o->batch, Given::at_choice),
                        {.name = "--what",
                         .place = &o->what,
                         .about = "raw, curve, alerts or notes",
                         .choices = {"raw", "curve", "alerts", "notes"}},
                        {.name = "--output",
                         .place = &o->output,
                         .about = "write it to this file instead of the terminal",
                         .offer = Offer::files},
                        {.name = "--everything",
                         .place = &o->everything,
                         .about = "write all batches in full, as JSON and CSV, into this folder",
                         .offer = Offer::files,
                         .excludes = {"--what", "--output"}}},
          .notes = kColumns,
          .examples = {"gylekeeper export left --what raw --output readings.csv",
                       "gylekeeper export --everything cellar-2026"},
          .run = [o](const CommonOptions& common) { return run_export(*o, common); }};
}

}  // namespace gyle
