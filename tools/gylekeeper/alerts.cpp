#include <fmt/format.h>

#include <chrono>
#include <cstdio>
#include <map>
#include <thread>

#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct AlertsOptions {
  std::string batch;  // empty: every batch that is in a vessel
  bool follow = false;
  bool open = false;     // only open ones, with numbers
  bool watcher = false;  // what the daemon reported about itself instead
};

constexpr auto kLookInterval = std::chrono::milliseconds(500);

// Shows the alerts of each batch since the last time.
class NewAlerts {
 public:
  NewAlerts(const ControlClient& daemon, std::string batch, bool json, bool open)
      : daemon_(daemon), batch_(std::move(batch)), json_(json), open_(open) {}

  Status show() {
    if (!batch_.empty()) {
      BOOST_OUTCOME_TRY(body, daemon_.get("/v1/batches/" + percent_encoded(batch_)));
      BOOST_OUTCOME_TRY(batch, read_batch(body));
      return show(batch.id);
    }
    // Packaged batches too: the last alert about one may come as it leaves.
    return daemon_.get_pages("/v1/batches?limit=200", [this](const std::string& body) -> Status {
      BOOST_OUTCOME_TRY(batches, read_batches(body));
      for (const BatchAnswer& batch : batches) {
        if (batch.packaged && shown_.count(batch.id) == 0) continue;
        BOOST_OUTCOME_TRYV(show(batch.id));
      }
      return success();
    });
  }

 private:
  Status show(std::int64_t id) {
    std::int64_t& newest = shown_[id];
    const std::string target = fmt::format("/v1/batches/{}/alerts?limit=1000", id);
    return daemon_.get_pages(target, [&](const std::string& body) -> Status {
      BOOST_OUTCOME_TRY(alerts, read_alerts(body));
      for (const AlertAnswer& alert : alerts) {
        if (alert.number <= newest) continue;
        newest = alert.number;
        if (open_ && !alert.open) continue;
        if (open_ && !json_) fmt::print("{:>4}  ", alert.number);
        fmt::print("{}\n", json_ ? alert.json : alert.line);
      }
      std::fflush(stdout);
      return success();
    });
  }

  const ControlClient& daemon_;
  std::string batch_;
  bool json_;
  bool open_;
  std::map<std::int64_t, std::int64_t> shown_;  // of each batch the number of the last alert
};

Exit run_alerts(const AlertsOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const ControlClient daemon(socket.value());
  if (options.watcher) {
    const auto body = daemon.get("/v1/alerts?limit=100");
    if (!body) return complain(body.error());
    const auto words = read_alerts(body.value());
    if (!words) return complain(words.error());
    for (const AlertAnswer& word : words.value()) fmt::print("{}\n", common.json ? word.json : word.line);
    return Exit::ok;
  }
  NewAlerts alerts(daemon, options.batch, common.json, options.open);
  Status shown = alerts.show();
  if (!shown) return complain(shown.error());
  bool away = false;
  while (options.follow) {
    std::this_thread::sleep_for(kLookInterval);
    shown = alerts.show();
    // A daemon that restarts comes back; any other error is final.
    if (!shown && shown.error().code != Errc::unavailable) return complain(shown.error());
    if (!shown && !away) complain(shown.error());
    away = !shown;
  }
  return Exit::ok;
}

}  // namespace

Verb alerts_verb() {
  const auto o = std::make_shared<AlertsOptions>();
  return {.name = "alerts",
          .about = "the alerts that were sent",
          .arguments = {batch_argument(&o->batch, Given::at_choice),
                        {.name = "--follow",
                         .place = &o->follow,
                         .about = "keep running, and show new ones as they come"},
                        {.name = "--open",
                         .place = &o->open,
                         .about = "only those that are open, acknowledged ones too, each with its number"},
                        {.name = "--watcher",
                         .place = &o->watcher,
                         .about = "instead, what the daemon reported about itself",
                         .excludes = {"--follow", "--open"}}},
          .examples = {"gylekeeper alerts --open"},
          .run = [o](const CommonOptions& common) { return run_alerts(*o, common); }};
}

}  // namespace gyle
