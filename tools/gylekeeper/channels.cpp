#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {

Exit run(const ChannelsOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    if (options.retry.empty()) return daemon.get("/v1/channels");
    return daemon.post("/v1/channels/" + percent_encoded(options.retry) + "/retry", "application/json", "");
  });
}

}  // namespace gyle
