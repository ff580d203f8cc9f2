#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "config/settings.h"
#include "mqtt/backoff.h"
#include "mqtt/link.h"
#include "mqtt/publish_queue.h"

namespace gyle {

// How one attempt asks for a connection.
struct Attempt {
  int version = 5;   // 5, or 3 for MQTT 3.1.1
  int will_qos = 1;  // of the last will and of the beats
};

// Why an attempt came to nothing.
struct ConnectFailure {
  int code = 0;  // the broker's answer: MQTT 5 section 3.2.2.2, 3.1.1 section 3.2.2.3. 0: it gave none
  std::string text = {};      // what the library calls it, if it does
  std::string tls = {};       // what OpenSSL has reported about this attempt
  std::string bad_name = {};  // why the host's name cannot be resolved; empty: it can
};

// How a connection ended.
struct Loss {
  int reason = 0;    // of the broker's DISCONNECT: MQTT 5 section 3.14.2.1. 0: it sent none
  std::string text;  // what the library calls it
};

// One connection to a broker over its whole life, as decisions: when to try, and how; what to send next; what to
// report about it, and in which words.
//   pure     no thread, network or clock: whoever uses it says what happens, and when, by a monotonic clock;
//            `random` in [0, 1)
//   tests    unit/mqtt/session_test.cpp
class Session {
 public:
  using Instant = std::chrono::steady_clock::time_point;
  using Outgoing = PublishQueue::Outgoing;
  using Ticket = PublishQueue::Ticket;

  Session(const MqttSettings& settings, std::optional<SignsOfLife> signs);

  bool over_tls() const;
  bool connected() const { return phase_ == Phase::connected; }
  bool connecting() const { return phase_ == Phase::connecting; }

  // --- Connecting. Pauses between attempts as in mqtt/backoff.h.
  bool due(Instant now) const;  // begin() an attempt
  Attempt begin(Instant now);
  bool expired(Instant now) const;  // the attempt has no result after 15 s: it has failed
  Instant wake() const;             // when one of these may become true, while not connected()
  // The event is to be reported before the first message of this connection.
  LinkEvent connection_made(bool session_present, Instant now);
  // A broker that does not speak MQTT 5 is asked at once by MQTT 3.1.1, and from then on. One that may dislike
  // a last will at QoS 1 is asked for less.
  void connection_failed(const ConnectFailure& failure, Instant now, double random);
  void connection_lost(const Loss& loss, Instant now, double random);

  // --- Sending. `now` by the daemon's clock, for what the beats say.
  PublishQueue& queue() { return queue_; }
  std::string will() const;                     // the payload of the last will
  void beat() { beat_due_ = true; }             // with the next of next()
  std::optional<Outgoing> next(Time now);       // to be sent now
  std::optional<Outgoing> last_beat(Time now);  // before the connection is closed on purpose
  bool all_settled() const { return !beating_ && queue_.none_in_flight(); }
  void settle(Ticket ticket, const Status& status);

  // What is to be reported now: losses, refusals once for each new reason, beats that nobody can see.
  std::vector<LinkEvent> take_news();

 private:
  enum class Phase { waiting, connecting, connected };

  Outgoing make_beat(std::string payload);
  std::string why(const ConnectFailure& failure) const;
  std::string why_unreachable(const ConnectFailure& failure) const;
  void report_refused(const std::string& why);

  const MqttSettings settings_;
  const std::optional<SignsOfLife> signs_;
  Phase phase_ = Phase::waiting;
  Instant next_;  // waiting: when to try; connecting: when to give it up
  Instant connected_at_;
  Attempt attempt_;
  Backoff backoff_;
  PublishQueue queue_;
  Ticket tickets_ = 0;
  bool beat_due_ = false;
  std::optional<Ticket>
      beating_;                // in flight: one at a time, so that a silent broker is not sent more and more
  bool beat_refused_ = false;  // has been reported
  std::string reported_;       // why there is no connection
  std::vector<LinkEvent> news_;
};

}  // namespace gyle
