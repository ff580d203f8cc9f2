#include "mqtt/session.h"

#include <fmt/format.h>

#include <utility>

#include "mqtt/heartbeat.h"

namespace gyle {
namespace {

constexpr auto kGivenUp = seconds(15);
constexpr auto kStableAfter = seconds(10);  // of a connection, at least

// Answers to a CONNECT, and reasons of a DISCONNECT: MQTT 5 section 2.4, and 3.1.1 section 3.2.2.3.
constexpr int kBadVersion3 = 1;
constexpr int kBadClientId3 = 2;
constexpr int kUnavailable3 = 3;
constexpr int kBadCredentials3 = 4;
constexpr int kNotAuthorised3 = 5;
constexpr int kBadVersion5 = 0x84;
constexpr int kBadCredentials5 = 0x86;
constexpr int kNotAuthorised5 = 0x87;
constexpr int kShuttingDown = 0x8b;
constexpr int kTakenOver = 0x8e;
constexpr int kNoSuchQos = 0x9b;

}  // namespace

Session::Session(const MqttSettings& settings, std::optional<SignsOfLife> signs)
    : settings_(settings), signs_(std::move(signs)) {
  attempt_.version = settings.version;
}

bool Session::over_tls() const { return settings_.broker.starts_with("mqtts://"); }

bool Session::due(Instant now) const { return phase_ == Phase::waiting && now >= next_; }

Attempt Session::begin(Instant now) {
  phase_ = Phase::connecting;
  next_ = now + kGivenUp;
  return attempt_;
}

bool Session::expired(Instant now) const { return phase_ == Phase::connecting && now >= next_; }

Session::Instant Session::wake() const { return next_; }

LinkEvent Session::connection_made(bool session_present, Instant now) {
  phase_ = Phase::connected;
  connected_at_ = now;
  reported_.clear();
  beat_due_ = true;  // over what the last will has left there
  if (!session_present) {
    queue_.send_all_again();  // the library does not always report the fate of what was in flight
    beating_.reset();
  }
  return {LinkEvent::Kind::connected, session_present,
          fmt::format("connected to the broker {}{}", settings_.broker,
                      session_present ? ", which has kept what came meanwhile" : "")};
}

void Session::connection_failed(const ConnectFailure& failure, Instant now, double random) {
  if (phase_ != Phase::connecting) return;
  phase_ = Phase::waiting;
  if (attempt_.version == 5 && (failure.code == kBadVersion3 || failure.code == kBadVersion5)) {
    attempt_.version = 3;
    next_ = now;
    news_.push_back({LinkEvent::Kind::degraded, false,
                     fmt::format("the broker {} does not speak MQTT 5; MQTT 3.1.1 is used. Limit the size of "
                                 "messages at the broker, and write version = 3 in [mqtt]",
                                 settings_.broker)});
    return;
  }
  // To some brokers a last will at QoS 1 is a reason to refuse. In MQTT 3.1.1 they cannot say so and hang up,
  // which looks like a broker that is not there: then every other attempt asks for less.
  if (failure.code == kNoSuchQos) {
    attempt_.will_qos = 0;
  } else if (attempt_.version != 5 && failure.code == 0 && failure.bad_name.empty()) {
    attempt_.will_qos = 1 - attempt_.will_qos;
  }
  next_ = now + backoff_.after_failure(random);
  report_refused(fmt::format("no connection to the broker {}: {}", settings_.broker, why(failure)));
}

void Session::report_refused(const std::string& reason) {
  if (reason == reported_) return;
  reported_ = reason;
  news_.push_back({LinkEvent::Kind::refused, false, reason});
}

std::string Session::why(const ConnectFailure& failure) const {
  if (!failure.bad_name.empty()) return failure.bad_name;
  if (failure.code == 0) return failure.text.empty() ? why_unreachable(failure) : failure.text;
  const bool credentials = failure.code == kBadCredentials3 || failure.code == kNotAuthorised3 ||
                           failure.code == kBadCredentials5 || failure.code == kNotAuthorised5;
  if (credentials) return "it does not accept the user name and password";
  if (!failure.text.empty()) return failure.text;
  if (failure.code == kBadVersion3) return "it does not speak MQTT 3.1.1";
  if (failure.code == kBadClientId3) {
    return fmt::format("it does not accept the client id \"{}\"", settings_.client_id);
  }
  if (failure.code == kUnavailable3) return "it does not serve anyone at present";
  return fmt::format("it refuses with the code {}", failure.code);
}

std::string Session::why_unreachable(const ConnectFailure& failure) const {
  if (!over_tls()) return "nobody answers there";
  const std::string trusted = settings_.ca_file.empty() ? "the system" : settings_.ca_file.string();
  if (failure.tls.find("certificate verify failed") != std::string::npos) {
    return fmt::format(
        "the authorities of {} do not vouch for its certificate: another has signed it, or it is out of date",
        trusted);
  }
  if (failure.tls.find("x509 certificate routines") != std::string::npos) {
    return fmt::format("{} is not a readable file of PEM certificates", trusted);
  }
  if (failure.tls.empty()) return "nobody answers there over TLS with a certificate for that name";
  return fmt::format("TLS fails: {}", failure.tls);
}

void Session::connection_lost(const Loss& loss, Instant now, double random) {
  if (phase_ != Phase::connected) return;
  phase_ = Phase::waiting;
  const auto lived = std::chrono::duration_cast<Duration>(now - connected_at_);
  next_ = now + backoff_.after_loss(lived, random);
  std::string text = fmt::format("the connection to the broker {} is lost", settings_.broker);
  if (loss.reason == kTakenOver) {
    text += fmt::format(": another client has connected with the client id \"{}\"; trying again",
                        settings_.client_id);
  } else if (loss.reason == kShuttingDown) {
    text += ": the broker is shutting down; trying again";
  } else if (loss.reason != 0) {
    text += fmt::format(": the broker has ended it ({}); trying again",
                        loss.text.empty() ? fmt::format("reason {}", loss.reason) : loss.text);
  } else {
    text += "; trying again";
    if (lived < kStableAfter) {
      text += fmt::format(" (if this goes on, another client may be using the client id \"{}\" too)",
                          settings_.client_id);
    }
  }
  news_.push_back({LinkEvent::Kind::lost, false, std::move(text)});
}

std::string Session::will() const { return signs_ ? signs_->gone : heartbeat::payload_when_gone(); }

Session::Outgoing Session::make_beat(std::string payload) {
  beating_ = ++tickets_;
  return {*beating_, settings_.heartbeat_topic, std::move(payload), /*retained=*/true, attempt_.will_qos};
}

std::optional<Session::Outgoing> Session::next(Time now) {
  if (phase_ != Phase::connected) return std::nullopt;
  if (beat_due_ && !beating_ && !settings_.heartbeat_topic.empty()) {
    beat_due_ = false;
    return make_beat(signs_ ? signs_->alive : heartbeat::payload(heartbeat::State::alive, now));
  }
  if (queue_.may_send()) return queue_.send(++tickets_);
  return std::nullopt;
}

std::optional<Session::Outgoing> Session::last_beat(Time now) {
  if (phase_ != Phase::connected || settings_.heartbeat_topic.empty()) return std::nullopt;
  return make_beat(signs_ ? signs_->stopped : heartbeat::payload(heartbeat::State::stopped, now));
}

void Session::settle(Ticket ticket, const Status& status) {
  if (beating_ != ticket) {
    queue_.settle(ticket, status);
    return;
  }
  beating_.reset();  // a lost one is not sent again: the next is newer
  if (!status && !status.error().worth_retrying() && !std::exchange(beat_refused_, true)) {
    news_.push_back({LinkEvent::Kind::degraded, false,
                     fmt::format("nobody can see whether the watcher is alive: publishing on {}: {}",
                                 settings_.heartbeat_topic, status.error().message)});
  }
}

std::vector<LinkEvent> Session::take_news() { return std::exchange(news_, {}); }

}  // namespace gyle
