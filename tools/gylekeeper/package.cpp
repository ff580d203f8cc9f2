#include <fmt/format.h>

#include "control/request_target.h"
#include "control_client.h"
#include "time_option.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct PackageOptions {
  std::string batch;
  std::optional<std::string> time;
};

Exit run_package(const PackageOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const ControlClient daemon(socket.value());
  const auto time = time_query(options.time, TimeSense::past, daemon);
  if (!time) return complain(time.error());
  const auto body = daemon.post(
      "/v1/batches/" + percent_encoded(options.batch) + "/package" + query_text({{"time", time.value()}}),
      "application/json", "");
  if (!body) return complain(body.error());
  if (common.json) {
    fmt::print("{}", body.value());
    return Exit::ok;
  }
  const auto batch = read_batch(body.value());
  if (!batch) return complain(batch.error());
  fmt::print("\"{}\" has left {}.\n", batch.value().name, batch.value().vessel);
  if (!batch.value().caution.empty()) fmt::print("{}\n", batch.value().caution);
  return Exit::ok;
}

}  // namespace

Verb package_verb() {
  const auto o = std::make_shared<PackageOptions>();
  return {.name = "package",
          .about = "end a batch: it has left its vessel",
          .arguments = {batch_argument(&o->batch),
                        {.name = "--at",
                         .place = &o->time,
                         .about = "when, as 10:00 today or \"2026-03-21 10:00\"; now when not given"}},
          .notes = kTimes,
          .examples = {"gylekeeper package \"Amber no. 12\" --at 10:00"},
          .run = [o](const CommonOptions& common) { return run_package(*o, common); }};
}

}  // namespace gyle
