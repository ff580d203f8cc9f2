#include "channel_trial.h"

#include <fmt/format.h>

#include <chrono>
#include <thread>

#include "control/request_target.h"

namespace gyle {
namespace {

constexpr auto kPollInterval = std::chrono::milliseconds(200);
constexpr auto kPatience = std::chrono::seconds(75);  // the channel gives up after a minute

}  // namespace

std::string ChannelTrial::trouble() const {
  if (delivered()) return "";
  if (!failed()) return "The test is still waiting; `gylekeeper channels` shows why.";
  return fmt::format("The test did not arrive: {}",
                     fate.answer.empty() ? "a newer notice replaced it" : fate.answer);
}

Result<ChannelTrial> try_channel(const ControlClient& daemon, const std::string& channel) {
  BOOST_OUTCOME_TRY(
      sent, daemon.post("/v1/channels/" + percent_encoded(channel) + "/test", "application/json", ""));
  BOOST_OUTCOME_TRY(alert, read_alert_number(sent));
  const std::string target = fmt::format("/v1/alerts/{}/fate{}", alert, query_text({{"channel", channel}}));
  const auto give_up = std::chrono::steady_clock::now() + kPatience;
  while (true) {
    BOOST_OUTCOME_TRY(body, daemon.get(target));
    BOOST_OUTCOME_TRY(fate, read_fate(body));
    ChannelTrial trial{fate, body};
    if (trial.delivered() || trial.failed() || std::chrono::steady_clock::now() > give_up) return trial;
    std::this_thread::sleep_for(kPollInterval);
  }
}

}  // namespace gyle
