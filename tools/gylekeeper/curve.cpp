#include <fmt/format.h>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "csv_json.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct CurveOptions {
  std::string batch;  // empty: the only one that is in a vessel
  std::optional<std::filesystem::path> output;
};

// The batch meant when none was named.
Result<std::string> only_batch(const ControlClient& daemon) {
  BOOST_OUTCOME_TRY(body, daemon.get("/v1/status"));
  BOOST_OUTCOME_TRY(batches, read_batches(body));
  if (batches.size() == 1) return std::to_string(batches.front().id);
  return fail(Errc::not_found, batches.empty() ? "no batch is in a vessel; name a packaged one"
                                               : "more than one batch is in a vessel; name one");
}

Result<std::string> curve_of(const ControlClient& daemon, std::string batch) {
  if (batch.empty()) {
    BOOST_OUTCOME_TRY(only, only_batch(daemon));
    batch = only;
  }
  return daemon.get_csv("/v1/batches/" + percent_encoded(batch) + "/curve");
}

Exit run_curve(const CurveOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  return write_rows(curve_of(ControlClient(socket.value()), options.batch), options.output, common);
}

}  // namespace

Verb curve_verb() {
  const auto o = std::make_shared<CurveOptions>();
  return {.name = "curve",
          .about = "the curve of a batch as CSV, or with --json as rows of JSON",
          .arguments = {batch_argument(&o->batch, Given::at_choice),
                        {.name = "--output",
                         .place = &o->output,
                         .about = "write it to this file instead of the terminal",
                         .offer = Offer::files}},
          .examples = {"gylekeeper curve \"Amber no. 12\" --output curve.csv"},
          .run = [o](const CommonOptions& common) { return run_curve(*o, common); }};
}

}  // namespace gyle
