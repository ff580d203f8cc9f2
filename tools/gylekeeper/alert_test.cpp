#include <fmt/format.h>

#include "channel_trial.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct AlertTestOptions {
  std::string channel;
};

Exit run_alert_test(const AlertTestOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const auto trial = try_channel(ControlClient(socket.value()), options.channel);
  if (!trial) return complain(trial.error());
  const bool delivered = trial.value().delivered();
  if (common.json) {
    fmt::print("{}", trial.value().body);
  } else if (delivered) {
    const std::string& answer = trial.value().fate.answer;
    fmt::print("The test has arrived{}{}\n", answer.empty() ? "." : ": ", answer);
  } else {
    fmt::print(stderr, "{}\n", trial.value().trouble());
  }
  return delivered ? Exit::ok : Exit::failed;
}

}  // namespace

Verb alert_test_verb() {
  const auto o = std::make_shared<AlertTestOptions>();
  return {.name = "alert-test",
          .about = "send a test alert through a channel",
          .arguments = {{.name = "channel",
                         .place = &o->channel,
                         .about = "as the configuration calls it",
                         .required = true}},
          .examples = {"gylekeeper alert-test phone"},
          .run = [o](const CommonOptions& common) { return run_alert_test(*o, common); }};
}

}  // namespace gyle
