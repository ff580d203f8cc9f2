#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "config/settings.h"
#include "ingest/message.h"
#include "mqtt/session.h"

namespace gyle {

// A client of the library, which connects when it is asked to and never by itself. Everything here that decides
// something is in Session.
//   threads  the handlers are called on threads of the library, with its lock held: what they call here does not
//            wait, what other threads call here waits until they return. None may throw
class PahoTransport {
 public:
  struct Handlers {
    std::function<void(bool session_present, const BrokerLimits&)> connected;
    std::function<void(const ConnectFailure&)> connect_failed;
    std::function<void(const Loss&)> lost;
    // The message is acknowledged when this returns. Without `received` and `backlog`.
    std::function<void(Message)> arrived;
    std::function<void(PublishQueue::Ticket, const Status&)> published;
    std::function<void(const std::string& filter, int qos)> subscribed;
    // A subscription that fails for another reason is one of a connection that is lost, and made over the next.
    std::function<void(const std::string& filter, const std::string& why)> denied;
    std::function<void()> disconnected;
  };

  // `version` as in Attempt; of all its connections. Errc::malformed when the library does not take the address.
  static Result<std::unique_ptr<PahoTransport>> create(const MqttSettings& settings, int version,
                                                       Handlers handlers);
  // Waits for a handler that is running, and may take a second. Afterwards none is called.
  ~PahoTransport();
  PahoTransport(const PahoTransport&) = delete;
  PahoTransport& operator=(const PahoTransport&) = delete;

  // All are asked for here and answered by a handler, unless they fail at once: then by none.
  Status connect(const MqttSettings& settings, const std::string& password, int will_qos,
                 const std::string& will);
  Status publish(const PublishQueue::Outgoing& message);
  void subscribe(
      const std::vector<std::string>& filters);  // QoS 1; what is retained comes the first time only
  void unsubscribe(const std::vector<std::string>& filters);  // no handler
  Status disconnect();

 private:
  struct Impl;
  explicit PahoTransport(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace gyle
