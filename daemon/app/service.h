#pragma once

#include <filesystem>
#include <memory>

#include "app/event_loop.h"
#include "app/self_watch.h"
#include "base/result.h"
#include "config/settings.h"

namespace gyle {

struct ServiceOptions {
  // For rehearsals: the daemon's clock follows the time stamps of messages only.
  bool clock_follows_messages = false;
  // Thermostats are asked in rehearsals, too; otherwise a rehearsal asks none.
  bool thermostats_follow = false;
  // Tests make these shorter: between two looks at itself; until a clock that is behind is reported.
  Duration look_period = minutes(1);
  Duration clock_patience = SelfWatch::kClockPatience;
};

// The daemon, put together: link, receiver, watch, delivery, control socket and page. Starts in the order in
// which one needs another and stops in reverse; tests run it in-process.
//   reload   destroy it and start another: a restart reads the journal through the same judgement
//   threads  created, used and destroyed on the loop's thread, before or while it runs
class Service {
 public:
  // An absent broker is no error, and a page that cannot be served is only logged. Errc::storage: the
  // database cannot be opened; Errc::conflict: another daemon uses the database; Errc::conflict, unavailable:
  // the control socket cannot be had; Errc::malformed: the broker's address.
  static Result<std::unique_ptr<Service>> start(EventLoop& loop, const Settings& settings,
                                                const ServiceOptions& options = {});

  // Within a second. What is not delivered or not acknowledged yet comes again after the next start.
  // Errc::unavailable when a message could not be kept and its thread does not come back: the process must
  // end before another Service can start. Once; the destructor does it if nobody did.
  Status stop();
  ~Service();
  Service(const Service&) = delete;
  Service& operator=(const Service&) = delete;

 private:
  struct Parts;
  explicit Service(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

// The broker's password, without a line end: from the file that the settings name, else from systemd's
// credential "mqtt-password". `credentials` is the directory of those, empty when there is none; a relative
// name is one of them. Empty when there is no password.
Result<std::string> broker_password(const MqttSettings& settings, const std::filesystem::path& credentials);

}  // namespace gyle
