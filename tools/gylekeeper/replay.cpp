#include "replay/replay.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <fstream>

#include "calibration/calibration_curves.h"
#include "config/batch_file.h"
#include "output_file.h"
#include "replay/readings_csv.h"
#include "reports/alerts_jsonl.h"
#include "reports/curve_csv.h"
#include "reports/forecasts_csv.h"
#include "tool_settings.h"
#include "verbs.h"
#include "wording/alert_sentences.h"
#include "wording/format.h"

namespace gyle {
namespace {

struct ReplayOptions {
  std::filesystem::path batch;
  std::filesystem::path readings;
  std::vector<std::string> calibrations;  // "hydrometer=points.txt"
  std::optional<std::filesystem::path> alerts;
  std::optional<std::filesystem::path> curve;
  std::optional<std::filesystem::path> forecasts;
};

struct Reports {
  std::string alerts;
  std::string curve = curve_csv_header();
  std::string forecasts = forecasts_csv_header();
  std::string sentences;  // the alerts as a brewer reads them
};

void append(Reports& reports, const Outcome& outcome, const BatchSpec& batch,
            const DisplaySettings& display) {
  for (const Decision& decision : outcome.decisions) {
    const std::string text = alert_sentence(decision, batch, display);
    reports.alerts += alert_json_line(decision, batch.name, text);
    reports.sentences += fmt::format("{}  {}\n", show_time(decision.time, display), text);
  }
  for (const CurvePoint& point : outcome.curve) reports.curve += curve_csv_row(point);
  for (const Forecast& forecast : outcome.forecasts) reports.forecasts += forecasts_csv_row(forecast);
}

// Of a sensor and the file with its points, as "hydrometer=points.txt".
Status calibrate(const std::string& text, CalibrationCurves& curves) {
  const std::size_t equals = text.find('=');
  if (equals == std::string::npos || equals == 0) {
    return fail(
        Errc::malformed,
        fmt::format(
            "--calibration {}: write the sensor, = and the file of its points, as hydrometer=points.txt",
            text));
  }
  const std::string path = text.substr(equals + 1);
  std::ifstream file(path, std::ios::binary);
  if (!file) return fail(Errc::not_found, fmt::format("cannot read {}: {}", path, std::strerror(errno)));
  const std::string points{std::istreambuf_iterator<char>(file), {}};
  const auto fit = [&points]() -> Result<InclinationFit> {
    BOOST_OUTCOME_TRY(parsed, parse_calibration_points(points));
    return fit_inclination(parsed);
  }();
  if (!fit) return fail(fit.error().code, fmt::format("{}: {}", path, fit.error().message));
  curves.insert_or_assign(text.substr(0, equals), fit.value().curve);
  return success();
}

Result<Reports> replayed(const BatchSpec& batch, const std::filesystem::path& path,
                         const CalibrationCurves& curves, const DisplaySettings& display) {
  std::ifstream file(path, std::ios::binary);
  const auto unreadable = [&path] {
    return fail(Errc::not_found, fmt::format("cannot read {}: {}", path.native(), std::strerror(errno)));
  };
  if (!file) return unreadable();
  Replay replay(batch);
  ReadingsCsv csv(path.native());
  Reports reports;
  std::vector<Reading> readings;
  std::string piece(1 << 16, '\0');
  while (file) {
    file.read(piece.data(), static_cast<std::streamsize>(piece.size()));
    BOOST_OUTCOME_TRYV(
        csv.feed(std::string_view(piece).substr(0, static_cast<std::size_t>(file.gcount())), readings));
    if (file.bad()) return unreadable();
    if (!file) {
      BOOST_OUTCOME_TRYV(csv.finish(readings));
    }
    for (const Reading& read : readings) {
      as_judged(read, curves,
                [&](const Reading& reading) { append(reports, replay.deliver(reading), batch, display); });
    }
    readings.clear();
  }
  return reports;
}

Exit run_replay(const ReplayOptions& options, const CommonOptions& common) {
  // A replay gives the same everywhere: the machine's own configuration counts only when it is asked for.
  DisplaySettings display;
  if (common.config) {
    const auto settings = tool_settings(common);
    if (!settings) return complain(settings.error(), Exit::wrong_use);
    display = settings.value().display;
  }
  const auto batch = load_batch(options.batch);
  if (!batch) return complain(batch.error(), Exit::wrong_use);
  CalibrationCurves curves;
  for (const std::string& text : options.calibrations) {
    if (const auto known = calibrate(text, curves); !known) return complain(known.error(), Exit::wrong_use);
  }
  const auto reports = replayed(batch.value(), options.readings, curves, display);
  if (!reports) return complain(reports.error(), Exit::wrong_use);

  struct Output {
    const std::optional<std::filesystem::path>& path;
    const std::string& content;
  };
  for (const Output& output :
       {Output{options.alerts, reports.value().alerts}, Output{options.curve, reports.value().curve},
        Output{options.forecasts, reports.value().forecasts}}) {
    if (!output.path) continue;
    if (const auto written = write_file(*output.path, output.content); !written)
      return complain(written.error());
  }
  if (!options.alerts && !options.curve && !options.forecasts) {
    fmt::print("{}", common.json ? reports.value().alerts : reports.value().sentences);
  }
  return Exit::ok;
}

}  // namespace

Verb replay_verb() {
  const auto o = std::make_shared<ReplayOptions>();
  return {
      .name = "replay",
      .about = "evaluate recorded readings as the daemon would have, without it",
      .arguments = {{.name = "--batch",
                     .place = &o->batch,
                     .about = "BATCH.toml",
                     .required = true,
                     .offer = Offer::files},
                    {.name = "--readings",
                     .place = &o->readings,
                     .about = "READINGS.csv: time,sensor,quantity,value",
                     .required = true,
                     .offer = Offer::files},
                    {.name = "--calibration",
                     .place = &o->calibrations,
                     .about =
                         "a sensor whose gravity follows from its inclination, and a file with the points as "
                         "gylekeeper calibrate takes them, one a line: hydrometer=points.txt",
                     .value = "SENSOR=FILE"},
                    {.name = "--alerts",
                     .place = &o->alerts,
                     .about = "write the alerts to this file, one JSON object a line",
                     .offer = Offer::files},
                    {.name = "--curve",
                     .place = &o->curve,
                     .about = "write the curve to this file, as CSV",
                     .offer = Offer::files},
                    {.name = "--forecasts",
                     .place = &o->forecasts,
                     .about = "write the forecasts to this file, as CSV",
                     .offer = Offer::files}},
      .examples = {"gylekeeper replay --batch amber-12.toml --readings readings.csv --alerts alerts.jsonl"},
      .run = [o](const CommonOptions& common) { return run_replay(*o, common); }};
}

}  // namespace gyle
