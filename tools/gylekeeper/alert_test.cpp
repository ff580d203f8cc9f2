#include <fmt/format.h>

#include <chrono>
#include <cstdint>
#include <thread>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct AlertTestOptions {
  std::string channel;
};

constexpr auto kPollInterval = std::chrono::milliseconds(200);
constexpr auto kPatience = std::chrono::seconds(75);  // the channel gives up after a minute

Exit run_alert_test(const AlertTestOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const ControlClient daemon(socket.value());
  const auto sent =
      daemon.post("/v1/channels/" + percent_encoded(options.channel) + "/test", "application/json", "");
  if (!sent) return complain(sent.error());
  const auto alert = read_alert_number(sent.value());
  if (!alert) return complain(alert.error());
  const std::string target =
      fmt::format("/v1/alerts/{}/fate{}", alert.value(), query_text({{"channel", options.channel}}));
  const auto give_up = std::chrono::steady_clock::now() + kPatience;
  while (true) {
    const auto body = daemon.get(target);
    if (!body) return complain(body.error());
    const auto fate = read_fate(body.value());
    if (!fate) return complain(fate.error());
    const bool delivered = fate.value().outcome == "delivered";
    const bool failed = !delivered && (fate.value().outcome != "waiting" || fate.value().attempts > 0);
    const bool late = std::chrono::steady_clock::now() > give_up;
    if (delivered || failed || late) {
      if (common.json) {
        fmt::print("{}", body.value());
      } else if (delivered) {
        fmt::print("The test has arrived{}{}\n", fate.value().answer.empty() ? "." : ": ",
                   fate.value().answer);
      } else if (!failed) {
        fmt::print(stderr, "The test is still waiting; `gylekeeper channels` shows why.\n");
      } else {
        fmt::print(stderr, "The test did not arrive: {}\n",
                   fate.value().answer.empty() ? "a newer notice replaced it" : fate.value().answer);
      }
      return delivered ? Exit::ok : Exit::failed;
    }
    std::this_thread::sleep_for(kPollInterval);
  }
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
