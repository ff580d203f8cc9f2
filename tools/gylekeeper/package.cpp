#include <fmt/format.h>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {

Exit run(const PackageOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const std::string time = options.time ? "?time=" + percent_encoded(*options.time) : "";
  const auto body =
      ControlClient(socket.value())
          .post("/v1/batches/" + percent_encoded(options.batch) + "/package" + time, "application/json", "");
  if (!body) return complain(body.error());
  if (common.json) {
    fmt::print("{}", body.value());
    return Exit::ok;
  }
  const auto batch = read_batch(body.value());
  if (!batch) return complain(batch.error());
  fmt::print("\"{}\" has left {}.\n", batch.value().name, batch.value().vessel);
  return Exit::ok;
}

}  // namespace gyle
