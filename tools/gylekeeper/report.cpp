#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "output_file.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

constexpr std::size_t kMostCompared = 6;

struct ReportOptions {
  std::vector<std::string> batches;
  std::string align = "pitch";
  std::optional<std::filesystem::path> output;
};

Result<std::string> report_of(const ControlClient& daemon, const ReportOptions& options) {
  std::string target, with;
  for (const std::string& reference : options.batches) {
    if (target.empty()) {
      target = fmt::format("/v1/batches/{}/report", percent_encoded(reference));
      continue;
    }
    // A name may hold a comma; a number does not.
    BOOST_OUTCOME_TRY(body, daemon.get("/v1/batches/" + percent_encoded(reference)));
    BOOST_OUTCOME_TRY(batch, read_batch(body));
    with += fmt::format("{}{}", with.empty() ? "&with=" : ",", batch.id);
  }
  return daemon.get(fmt::format("{}?align={}{}", target, options.align, with));
}

Exit run_report(const ReportOptions& options, const CommonOptions& common) {
  if (options.batches.size() > kMostCompared) {
    return complain(
        Error{Errc::out_of_range, fmt::format("a report compares up to {} batches", kMostCompared)},
        Exit::wrong_use);
  }
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const auto html = report_of(ControlClient(socket.value()), options);
  if (!html) return complain(html.error());
  if (common.json && !options.output) {
    fmt::print("{}\n", nlohmann::json{{"html", html.value()}}.dump());
    return Exit::ok;
  }
  const auto written = write_out(options.output, html.value());
  if (!written) return complain(written.error());
  if (common.json) {
    fmt::print("{}\n",
               nlohmann::json{{"file", options.output->string()}, {"bytes", html.value().size()}}.dump());
  }
  return Exit::ok;
}

}  // namespace

Verb report_verb() {
  const auto o = std::make_shared<ReportOptions>();
  return {.name = "report",
          .about = "the story of a batch as one HTML file, to keep and to print; of several, compared",
          .arguments = {{.name = "batch",
                         .place = &o->batches,
                         .about = "batches: their vessels, names or numbers; up to 6",
                         .required = true,
                         .offer = Offer::batches},
                        {.name = "--align",
                         .place = &o->align,
                         .about = "what day 0 of each is when they are compared: its pitch, or the start of "
                                  "its fermentation; pitch when not given",
                         .choices = {"pitch", "start"}},
                        {.name = "--output",
                         .place = &o->output,
                         .about = "write it to this file instead of the terminal",
                         .offer = Offer::files}},
          .examples = {"gylekeeper report 12 9 4 --align start --output three-ambers.html",
                       "gylekeeper report \"Amber no. 12\" --output amber-12.html"},
          .run = [o](const CommonOptions& common) { return run_report(*o, common); }};
}

}  // namespace gyle
