#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/clock.h"
#include "base/result.h"
#include "base/time.h"
#include "config/settings.h"
#include "ingest/message.h"

namespace gyle {

// What an MQTT 5 broker grants on connecting; absent: it does not say, or speaks 3.1.1.
struct BrokerLimits {
  bool version5 = false;                              // of the connection: else nothing is named
  std::optional<Duration> session_expiry;             // absent: as asked for
  std::optional<std::uint32_t> receive_maximum;       // absent: 65535 messages at QoS 1 at once
  std::optional<std::uint32_t> largest_packet_bytes;  // absent: no limit
};

// A change of the connection for the log; `text` is a sentence.
struct LinkEvent {
  enum class Kind {
    connected,  // and subscribed, or about to be
    lost,       // a connection that was there is gone; it is tried again
    refused,    // no connection can be had for a new reason; it is tried again
    degraded,   // the broker does not grant all that was asked for: a subscription as it was asked, MQTT 5
    denied,     // connected, but the broker does not permit a subscription
  };
  Kind kind;
  bool session_present = false;  // connected: the broker remembers us and has kept what came meanwhile
  std::string text;
  BrokerLimits limits = {};  // connected
};

// Payloads on the heartbeat's topic in place of those of mqtt/heartbeat.h: after every connect, at the end,
// and as the last will.
struct SignsOfLife {
  std::string alive;
  std::string stopped;
  std::string gone;
};

// All are called on threads of the link, one at a time for the messages and `connected`; none may throw.
struct LinkHandlers {
  // Stores the message durably. It is acknowledged to the broker only after this has returned success, so it
  // may block, but then nothing else arrives, and after three quarters of the keep-alive the broker closes
  // the connection and delivers again later. A message cannot be handed back: on an error worth retrying the
  // same message comes again after a pause, until it succeeds or the link is stopped (`stop` is requested
  // then), with its arrival by the clock as set by then; after any other error it is given up. `packet_id`,
  // `duplicate` and `left_out` of the message are set.
  std::function<Status(const Message&, std::stop_token stop)> on_message;

  // `connected` comes before the first message of that connection, on the same thread.
  std::function<void(const LinkEvent&)> on_event;

  std::optional<SignsOfLife> signs = {};
};

// An MQTT connection that reconnects by itself: keeps trying with jittered back-off, subscribes
// again after every connect, keeps its session at the broker over restarts.
//   threads  any thread may call; nothing here waits for the network or for on_message, except stop()
class MqttLink {
 public:
  // `filters` at QoS 1; those that another covers are left out. An empty client id of the settings makes the
  // session end with the connection. A broker keeps the subscriptions of a session that lasts: those of
  // `former_filters` that are not among the filters now are taken back.
  MqttLink(MqttSettings settings, std::string password, const std::vector<std::string>& filters,
           LinkHandlers handlers, const Clock& clock, std::vector<std::string> former_filters = {});
  ~MqttLink();  // stops
  MqttLink(const MqttLink&) = delete;
  MqttLink& operator=(const MqttLink&) = delete;

  // Errc::malformed when the broker's address is not mqtt://host[:port] or mqtts://host[:port]. An absent
  // broker is no error. Once.
  Status start();

  // QoS 1. Waits its turn, over reconnections too; `on_done` is called exactly once: success when the broker
  // has acknowledged; Errc::unavailable when 1,000 wait already or the link stops first; Errc::refused when
  // the broker does not permit it. It is called on a thread of the link, or from inside publish().
  void publish(std::string topic, std::string payload, bool retained, std::function<void(Status)> on_done);

  // Publishes "alive" now, or as soon as there is a connection. The link does this itself after every
  // connect, but not periodically, because its threads may run while the watch hangs: the watch calls this
  // every `heartbeat` of the settings (mqtt/heartbeat.h).
  void beat();

  // Disconnects and returns within `max_wait`; no handler is called any more. Fails with Errc::unavailable
  // when that was not possible because a message is not stored yet; it was not acknowledged, and the broker
  // delivers it again. What the handlers use must then live until the process ends.
  Status stop(Duration max_wait = std::chrono::milliseconds(800));

 private:
  struct Impl;
  std::shared_ptr<Impl> impl_;
};

}  // namespace gyle
