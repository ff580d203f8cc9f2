#include <fmt/format.h>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "output_file.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

Result<std::string> report_of(const ControlClient& daemon, const std::vector<std::string>& batches) {
  std::string target, with;
  for (const std::string& reference : batches) {
    if (target.empty()) {
      target = fmt::format("/v1/batches/{}/report", percent_encoded(reference));
      continue;
    }
    // A name may hold a comma; a number does not.
    BOOST_OUTCOME_TRY(body, daemon.get("/v1/batches/" + percent_encoded(reference)));
    BOOST_OUTCOME_TRY(batch, read_batch(body));
    with += fmt::format("{}{}", with.empty() ? "?with=" : ",", batch.id);
  }
  return daemon.get(target + with);
}

}  // namespace

Exit run(const ReportOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const auto html = report_of(ControlClient(socket.value()), options.batches);
  if (!html) return complain(html.error());
  const auto written = write_out(options.output, html.value());
  return written ? Exit::ok : complain(written.error());
}

}  // namespace gyle
