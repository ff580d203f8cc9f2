#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

struct ChannelsOptions {
  std::string retry;  // empty: nothing
};

Exit run_channels(const ChannelsOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    if (options.retry.empty()) return daemon.get("/v1/channels");
    return daemon.post("/v1/channels/" + percent_encoded(options.retry) + "/retry", "application/json", "");
  });
}

}  // namespace

Verb channels_verb() {
  const auto o = std::make_shared<ChannelsOptions>();
  return {.name = "channels",
          .about = "delivery status of the alert channels: what waits, what was refused",
          .arguments = {{.name = "--retry",
                         .place = &o->retry,
                         .about = "send again what was refused on this channel",
                         .value = "CHANNEL"}},
          .examples = {"gylekeeper channels --retry phone"},
          .run = [o](const CommonOptions& common) { return run_channels(*o, common); }};
}

}  // namespace gyle
