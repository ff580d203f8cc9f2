#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <nlohmann/json.hpp>

#include "answer_lines.h"
#include "base/rfc3339.h"
#include "base/text.h"
#include "base/zone_words.h"
#include "batch_options.h"
#include "clock/local_time.h"
#include "config/batch_file.h"
#include "config/read_file.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "replay/mapped_csv.h"
#include "replay/written_time.h"
#include "tool_settings.h"
#include "verbs.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kPartBytes = 900'000;   // the daemon takes no more than a megabyte at once
constexpr std::size_t kMostBytes = 64 << 20;  // of the file
constexpr std::size_t kShown = 10;            // of what was refused

struct ImportOptions {
  std::filesystem::path file;
  std::string vessel;
  BatchOptions batch;
  std::optional<std::string> pitched;
  std::optional<std::string> packaged;
  std::string time_column;
  std::optional<std::string> time_format;
  std::optional<std::string> time_zone;
  std::string gravity_column;
  std::string gravity_unit = "SG";
  std::optional<std::string> temperature_column;
  std::optional<std::string> ambient_column;
  std::string temperature_unit = "C";
  std::string separator = ",";
  bool dry_run = false;
};

struct Import {
  MappedReadings read;
  BatchSpec batch;
  Time packaged;
};

Result<CsvMapping> mapping_of(const ImportOptions& options) {
  CsvMapping mapping;
  mapping.separator = options.separator == "tab" ? '\t' : options.separator.front();
  mapping.time_column = options.time_column;
  mapping.time_format = options.time_format.value_or("");
  BOOST_OUTCOME_TRYV(check_time_format(mapping.time_format));
  mapping.gravity_column = options.gravity_column;
  mapping.gravity_in_plato = options.gravity_unit == "P";
  mapping.temperature_column = options.temperature_column.value_or("");
  mapping.ambient_column = options.ambient_column.value_or("");
  mapping.fahrenheit = options.temperature_unit == "F";
  return mapping;
}

Result<Time> time_or(const std::optional<std::string>& given, Time otherwise, const std::string& zone) {
  if (!given) return otherwise;
  return parse_local_time(*given, {}, zone, TimeSense::past);
}

Result<Import> import_of(const ImportOptions& options, const std::string& zone) {
  BOOST_OUTCOME_TRY(mapping, mapping_of(options));
  BOOST_OUTCOME_TRY(text, read_file(options.file, kMostBytes));
  BOOST_OUTCOME_TRY(read, read_mapped_csv(options.file.string(), text, mapping, "import",
                                          [&](Duration shown) { return moment_shown(shown, zone); }));
  Import import{std::move(read), {}, {}};
  const std::vector<Reading>& readings = import.read.readings;
  BOOST_OUTCOME_TRY(pitched, time_or(options.pitched, readings.front().time, zone));
  BOOST_OUTCOME_TRY(packaged, time_or(options.packaged, readings.back().time, zone));
  import.batch.pitched = pitched;
  import.packaged = packaged;
  if (packaged <= pitched) {
    DisplaySettings display;
    display.time_zone = zone;
    const auto moment = [&](Time time) { return show_date(time, display) + " " + show_clock(time, display); };
    return fail(Errc::out_of_range,
                fmt::format("the batch would have been packaged on {}, but pitched on {} ({})",
                            moment(packaged), moment(pitched), zone_words(zone)));
  }
  BOOST_OUTCOME_TRYV(apply(options.batch, import.batch));
  BOOST_OUTCOME_TRYV(validate_options(import.batch));
  return import;
}

// The same readings have the same name, so that a file is not imported twice.
//   source  FNV-1a of 64 bits, as of draft-eastlake-fnv
std::string name_of(const std::string& csv) {
  std::uint64_t hash = 0xcbf29ce484222325U;
  for (const char c : csv) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  return fmt::format("csv-{:016x}", hash);
}

// As replay/readings_csv.h has them, in parts that each have their header.
std::vector<std::string> parts_of(const std::vector<Reading>& readings) {
  constexpr const char* kHeader = "time,sensor,quantity,value\n";
  std::vector<std::string> parts;
  for (const Reading& reading : readings) {
    if (parts.empty() || parts.back().size() > kPartBytes) parts.emplace_back(kHeader);
    parts.back() +=
        fmt::format("{},import,{},{}\n", format_rfc3339(reading.time), name(reading.quantity), reading.value);
  }
  return parts;
}

Result<std::string> send(const ControlClient& daemon, const ImportOptions& options, const Import& import) {
  const std::vector<std::string> parts = parts_of(import.read.readings);
  std::string all;
  for (const std::string& part : parts) all += part;
  const std::string address = "/v1/imports/" + name_of(all);
  for (const std::string& part : parts) {
    BOOST_OUTCOME_TRYV(daemon.post(address + "/readings", "text/csv", part));
  }
  return daemon.post(fmt::format("{}/batch?vessel={}&packaged={}", address, percent_encoded(options.vessel),
                                 percent_encoded(format_rfc3339(import.packaged))),
                     "application/toml", format_batch(import.batch));
}

nlohmann::ordered_json json_of(const std::vector<RefusedInput>& refused) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const RefusedInput& one : refused) list.push_back({{"line", one.line}, {"why", one.why}});
  return list;
}

nlohmann::ordered_json json_of(const Import& import) {
  return {{"rows", import.read.rows},
          {"rows_used", import.read.used},
          {"readings", import.read.readings.size()},
          {"first", format_rfc3339(import.read.readings.front().time)},
          {"last", format_rfc3339(import.read.readings.back().time)},
          {"pitched", format_rfc3339(import.batch.pitched)},
          {"packaged", format_rfc3339(import.packaged)},
          {"encoding", import.read.latin1 ? "Latin-1" : "UTF-8"},
          {"refused", json_of(import.read.refused_rows)},
          {"refused_temperatures", json_of(import.read.refused_temperatures)}};
}

std::string printable(const std::string& text) { return displayable(text, 400); }

void show(const std::vector<RefusedInput>& refused) {
  for (std::size_t i = 0; i < std::min(refused.size(), kShown); ++i) {
    fmt::print("  line {}: {}\n", refused[i].line, printable(refused[i].why));
  }
  if (refused.size() > kShown) fmt::print("  and {} more\n", refused.size() - kShown);
}

void show(const ImportOptions& options, const Import& import, const std::string& zone) {
  DisplaySettings display;
  display.time_zone = zone;
  const MappedReadings& read = import.read;
  fmt::print("{}: {} rows, {} used, {} refused; from {} {} to {} {}, {}.\n", options.file.string(), read.rows,
             read.used, read.refused_rows.size(), show_date(read.readings.front().time, display),
             show_clock(read.readings.front().time, display), show_date(read.readings.back().time, display),
             show_clock(read.readings.back().time, display), zone_words(zone));
  if (read.latin1) fmt::print("The file is not UTF-8; it was read as Latin-1.\n");
  show(read.refused_rows);
  if (read.refused_temperatures.empty()) return;
  fmt::print("{} temperatures are refused; their rows are used without them.\n",
             read.refused_temperatures.size());
  show(read.refused_temperatures);
}

Exit run_import(const ImportOptions& options, const CommonOptions& common) {
  const auto zone = options.time_zone ? Result<std::string>(*options.time_zone) : brewers_time_zone(common);
  if (!zone) return complain(zone.error(), Exit::wrong_use);
  const auto import = import_of(options, zone.value());
  if (!import) return complain(import.error(), Exit::wrong_use);
  if (!common.json) show(options, import.value(), zone.value());
  nlohmann::ordered_json json = json_of(import.value());
  if (options.dry_run) {
    if (common.json) {
      fmt::print("{}\n", json.dump());
    } else {
      fmt::print("A dry run: nothing was imported.\n");
    }
    return Exit::ok;
  }
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const auto body = send(ControlClient(socket.value()), options, import.value());
  if (!body) return complain(body.error());
  const auto batch = read_batch(body.value());
  if (!batch) return complain(batch.error());
  if (common.json) {
    json["batch"] = batch.value().id;
    fmt::print("{}\n", json.dump());
    return Exit::ok;
  }
  fmt::print(
      "\"{}\" is batch {} now: packaged, and evaluated like one that was watched. No alert was sent.\n",
      printable(batch.value().name), batch.value().id);
  if (!batch.value().band.empty()) fmt::print("{}\n", printable(batch.value().band));
  return Exit::ok;
}

std::string one_character(const std::string& text) {
  return text.size() == 1 || text == "tab" ? "" : "one character is expected, or the word tab";
}

}  // namespace

Verb import_verb() {
  const auto o = std::make_shared<ImportOptions>();
  std::vector<Argument> arguments{
      {.name = "file",
       .place = &o->file,
       .about = "the CSV; its first line names the columns",
       .required = true,
       .offer = Offer::files},
      {.name = "--vessel", .place = &o->vessel, .about = "the vessel that it was in", .required = true},
      {.name = "--time-column",
       .place = &o->time_column,
       .about = "the name of the column with the times",
       .required = true},
      {.name = "--time-format",
       .place = &o->time_format,
       .about = "how they are written, as \"%d.%m.%Y %H:%M\"; %s for Unix seconds; day-number for the day "
                "numbers of spreadsheets; 2026-03-01 18:30 or RFC 3339 when not given"},
      {.name = "--time-zone",
       .place = &o->time_zone,
       .about = "of times without an offset from UTC, as Europe/Berlin; the configuration's when not given"},
      {.name = "--gravity-column",
       .place = &o->gravity_column,
       .about = "the name of the column with the gravities",
       .required = true},
      {.name = "--gravity-unit",
       .place = &o->gravity_unit,
       .about = "SG, or P for degrees Plato; SG when not given",
       .choices = {"SG", "P"}},
      {.name = "--temperature-column", .place = &o->temperature_column, .about = "the beer's temperatures"},
      {.name = "--ambient-column", .place = &o->ambient_column, .about = "the ambient temperatures"},
      {.name = "--temperature-unit",
       .place = &o->temperature_unit,
       .about = "C or F, of both; C when not given",
       .choices = {"C", "F"}},
      {.name = "--separator",
       .place = &o->separator,
       .about = "what separates the fields, as \";\", or the word tab; a comma when not given",
       .check = one_character},
      {.name = "--pitched",
       .place = &o->pitched,
       .about = "when the yeast went in, as \"2026-03-01 18:30\"; the first reading when not given"},
      {.name = "--packaged",
       .place = &o->packaged,
       .about = "when it was packaged; the last reading when not given"},
      {.name = "--dry-run",
       .place = &o->dry_run,
       .about = "show what would be read and what would be refused; import nothing"}};
  for (Argument& argument : batch_arguments(o->batch)) {
    if (argument.name == "--name") argument.required = true;
    arguments.push_back(std::move(argument));
  }
  return {
      .name = "import",
      .about = "an old batch from a CSV, as a packaged batch with its curve",
      .arguments = std::move(arguments),
      .notes =
          "Rows are sorted by time. A row without a time or a "
          "plausible gravity is refused and listed with its line; so is an implausible temperature. When "
          "more rows are refused than used, or most temperatures look like another unit, nothing is "
          "imported. The batch is evaluated as if it had been watched: it has a curve, a report and alerts, "
          "and counts for its yeast; no alert is sent. The same file is not imported twice. CSV as in RFC "
          "4180, UTF-8 or Latin-1; decimals after a point or a comma.",
      .examples = {"gylekeeper import 2019-amber.csv --name \"Amber of 2019\" --vessel left --yeast \"House "
                   "ale\" --original-gravity 1.048 --time-column Date --gravity-column SG "
                   "--temperature-column Temp --temperature-unit F --dry-run",
                   "gylekeeper import gärung.csv --name Helles --vessel links --time-column Datum "
                   "--time-format \"%d.%m.%Y %H:%M\" --gravity-column Extrakt --gravity-unit P --separator "
                   "\";\""},
      .run = [o](const CommonOptions& common) { return run_import(*o, common); }};
}

}  // namespace gyle
