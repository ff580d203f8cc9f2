#include <fmt/format.h>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct StatusOptions {
  std::string batch;  // empty: every batch that is in a vessel
};

Exit run_status(const StatusOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const bool one = !options.batch.empty();
  const auto body =
      ControlClient(socket.value()).get(one ? "/v1/batches/" + percent_encoded(options.batch) : "/v1/status");
  if (!body) return complain(body.error());
  if (common.json) {
    fmt::print("{}", body.value());
    return Exit::ok;
  }
  if (one) {
    const auto batch = read_batch(body.value());
    if (!batch) return complain(batch.error());
    fmt::print("{}\n", fmt::join(batch.value().lines, "\n"));
    return Exit::ok;
  }
  const auto batches = read_batches(body.value());
  if (!batches) return complain(batches.error());
  const auto daemon = read_daemon(body.value());
  if (!daemon) return complain(daemon.error());
  const char* gap = "";
  for (const BatchAnswer& batch : batches.value()) {
    fmt::print("{}{}\n", gap, fmt::join(batch.lines, "\n"));
    gap = "\n";
  }
  if (batches.value().empty()) fmt::print("no batch is in a vessel\n");
  if (!daemon.value().broker_connected) fmt::print("{}no connection to {}\n", gap, daemon.value().broker);
  if (!daemon.value().database_trouble.empty()) {
    fmt::print("trouble with the database: {}\n", daemon.value().database_trouble);
  }
  return Exit::ok;
}

}  // namespace

Verb status_verb() {
  const auto o = std::make_shared<StatusOptions>();
  return {.name = "status",
          .about = "where every batch is, in three lines each",
          .arguments = {batch_argument(&o->batch, Given::at_choice)},
          .examples = {"gylekeeper status"},
          .run = [o](const CommonOptions& common) { return run_status(*o, common); }};
}

}  // namespace gyle
