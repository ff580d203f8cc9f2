// The only file that knows the library, paho-mqtt-cpp. What it relies on, each seen by experiment with paho C++
// 1.2.0 and C 1.3.12:
//   - a message is acknowledged after the message callback has returned, whatever it did. It cannot be handed
//     back, and an exception ends the process: so the callback returns when the message is stored, or never;
//   - callbacks come with the C library's lock held, so most calls from other threads wait until they return;
//   - when a broker ends a connection by a DISCONNECT (MQTT 5), the disconnected handler is called, and not the
//     one for a lost connection;
//   - callbacks of one client for CONNACK and for messages come on one thread, in the order of the packets.
// Two things that the C++ interface does not offer are done beside it:
//   - the packet identifier of a message, needed to recognise a redelivery, is shown to whoever defines
//     UNIT_TESTS, by an inline accessor that changes nothing else. CMake looks whether it is needed;
//   - why TLS failed. The C++ error handler is given options that are gone by then. OpenSSL still knows it while
//     the C library traces the failure, on the thread that then reports the failed attempt.
#ifdef GYLE_PAHO_HIDES_PACKET_ID
#define UNIT_TESTS
#endif
#include <mqtt/async_client.h>
#undef UNIT_TESTS

#include <fmt/format.h>
#include <openssl/err.h>

#include <algorithm>
#include <array>
#include <bit>
#include <chrono>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

#include "mqtt/paho_transport.h"

namespace gyle {
namespace {

constexpr int kLargestPacket = 65536 + 4096;  // a payload of 64 KiB with its topic and properties
constexpr auto kConnectTimeout = std::chrono::seconds(10);
constexpr auto kPause = std::chrono::milliseconds(50);
constexpr int kFirstFailure5 = 0x80;  // of the reason codes of MQTT 5, section 2.4

int protocol(int version) { return version == 5 ? MQTTVERSION_5 : MQTTVERSION_3_1_1; }

std::string detail(int code) {
  const std::string text = mqtt::exception::error_str(code);
  return text.empty() ? fmt::format("error {}", code) : text;
}

std::int32_t to_seconds(Duration d) {
  // The property is unsigned and the library's type is not: all its bits are sent as they are.
  return static_cast<std::int32_t>(
      static_cast<std::uint32_t>(std::clamp<std::int64_t>(d.count() / 1000, 0, 0xfffffffe)));
}

// Destroying the last client ends the C library as a whole, which must not meet the creation of the next one.
std::mutex& lifecycle() {
  static auto& mutex = *new std::mutex;
  return mutex;
}

// Of the attempt that is failing on this thread.
std::string& tls_error() {
  thread_local std::string error;
  return error;
}

void remember_tls_error() noexcept {
  const unsigned long code = ERR_peek_last_error();
  // The last one is of closing what never was open.
  if (code == 0 || !tls_error().empty() || ERR_GET_LIB(code) == ERR_LIB_SYS) return;
  std::array<char, 200> text{};
  ERR_error_string_n(code, text.data(), text.size());
  const std::string_view line(text.data());
  if (line.find("shutdown while in init") == std::string_view::npos) tls_error() = line;
}

void watch_tls() {
  static std::once_flag once;
  std::call_once(once, [] {
    MQTTAsync_setTraceCallback([](enum MQTTASYNC_TRACE_LEVELS, char* line) {
      if (std::string_view(line).find("SSL connect:error") != std::string_view::npos) remember_tls_error();
    });
    MQTTAsync_setTraceLevel(MQTTASYNC_TRACE_PROTOCOL);
  });
}

}  // namespace

struct PahoTransport::Impl : mqtt::iaction_listener {
  Impl(int v, Handlers h) : version(v), handlers(std::move(h)) {}

  // --- Callbacks of the library. What an exception would leave undone is answered by a time limit of Session's.

  template <class F>
  static void guarded(F&& work) noexcept {
    try {
      work();
    } catch (const std::exception&) {
    }
  }

  void on_success(const mqtt::token& token) override {
    guarded([&] {
      switch (token.get_type()) {
        case mqtt::token::CONNECT:
          connected(token.get_connect_response());
          break;
        case mqtt::token::SUBSCRIBE:
          subscribed(token);
          break;
        case mqtt::token::PUBLISH:
          handlers.published(ticket(token), success());
          break;
        case mqtt::token::DISCONNECT:
          handlers.disconnected();
          break;
        default:
          break;
      }
    });
  }

  void connected(const mqtt::connect_response& response) {
    const mqtt::properties& granted = response.get_properties();
    BrokerLimits limits;
    limits.version5 = response.get_mqtt_version() >= MQTTVERSION_5;
    if (granted.contains(mqtt::property::SESSION_EXPIRY_INTERVAL))
      limits.session_expiry =
          seconds(mqtt::get<std::uint32_t>(granted, mqtt::property::SESSION_EXPIRY_INTERVAL));
    if (granted.contains(mqtt::property::RECEIVE_MAXIMUM))
      limits.receive_maximum = mqtt::get<std::uint16_t>(granted, mqtt::property::RECEIVE_MAXIMUM);
    if (granted.contains(mqtt::property::MAXIMUM_PACKET_SIZE))
      limits.largest_packet_bytes = mqtt::get<std::uint32_t>(granted, mqtt::property::MAXIMUM_PACKET_SIZE);
    handlers.connected(response.is_session_present(), limits);
  }

  void on_failure(const mqtt::token& token) override {
    guarded([&] {
      switch (token.get_type()) {
        case mqtt::token::CONNECT:
          connect_failed(token);
          break;
        case mqtt::token::SUBSCRIBE:
          not_subscribed(token);
          break;
        case mqtt::token::PUBLISH:
          not_published(token);
          break;
        case mqtt::token::DISCONNECT:
          handlers.disconnected();
          break;
        default:
          break;
      }
    });
  }

  static PublishQueue::Ticket ticket(const mqtt::token& token) {
    return std::bit_cast<PublishQueue::Ticket>(token.get_user_context());
  }

  // MQTT 5: the broker's reason; else 0.
  int refusal(const mqtt::token& token) const {
    const int reason = version == 5 ? static_cast<int>(token.get_reason_code()) : 0;
    return reason >= kFirstFailure5 ? reason : 0;
  }

  std::string why(const mqtt::token& token) const {
    const int reason = refusal(token);
    return reason != 0 ? mqtt::exception::reason_code_str(reason) : detail(token.get_return_code());
  }

  void connect_failed(const mqtt::token& token) {
    ConnectFailure failure;
    const int code = token.get_return_code();
    if (code > 0) {
      failure.code = code;
      failure.text = code >= kFirstFailure5 ? mqtt::exception::reason_code_str(code) : "";
    } else if (code != MQTTASYNC_FAILURE) {
      failure.text = detail(code);
    }
    if (tls) {
      remember_tls_error();
      failure.tls = std::exchange(tls_error(), {});
      ERR_clear_error();
    }
    handlers.connect_failed(failure);
  }

  void not_published(const mqtt::token& token) {
    if (refusal(token) != 0) {
      handlers.published(ticket(token),
                         fail(Errc::refused, fmt::format("the broker does not take it: {}", why(token))));
    } else {
      handlers.published(ticket(token), fail(Errc::unavailable, why(token)));
    }
  }

  void subscribed(const mqtt::token& token) {
    const std::string filter = token.get_topics()->operator[](0);
    const auto codes = token.get_subscribe_response().get_reason_codes();
    handlers.subscribed(filter, codes.empty() ? 1 : static_cast<int>(codes.front()));
  }

  void not_subscribed(const mqtt::token& token) {
    // 3.1.1 section 3.9.3 knows no reasons: the code is above 0 when it is the broker's.
    if (refusal(token) == 0 && token.get_return_code() <= 0) return;
    handlers.denied(token.get_topics()->operator[](0),
                    refusal(token) != 0 ? why(token) : "it gives no reason");
  }

  void lost() {
    guarded([&] { handlers.lost({}); });
  }

  // MQTT 5. The library then reports no lost connection.
  void disconnected_by_broker(int reason) {
    guarded([&] { handlers.lost({reason, mqtt::exception::reason_code_str(reason)}); });
  }

  static Message to_message(const mqtt::message& from) {
    Message message;
    message.topic = from.get_topic();
    const std::string& payload = from.get_payload_str();
    message.left_out = payload.size() > kLargestPayload ? payload.size() - kPayloadHeadBytes : 0;
    message.payload = payload.substr(0, payload.size() - message.left_out);
    message.retained = from.is_retained();
    message.duplicate = from.is_duplicate();
    if (from.get_qos() > 0) message.packet_id = static_cast<std::uint16_t>(from.c_struct().msgid);
    return message;
  }

  // To return is to acknowledge: what throws for want of memory is tried again.
  void arrived(const mqtt::message& message) noexcept {
    for (;;) {
      try {
        handlers.arrived(to_message(message));
        return;
      } catch (const std::exception&) {
        std::this_thread::sleep_for(kPause);
      }
    }
  }

  const int version;
  const Handlers handlers;
  bool tls = false;
  std::optional<mqtt::async_client> client;
};

PahoTransport::PahoTransport(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}

PahoTransport::~PahoTransport() {
  const std::lock_guard alone(lifecycle());
  impl_->client.reset();
}

Result<std::unique_ptr<PahoTransport>> PahoTransport::create(const MqttSettings& settings, int version,
                                                             Handlers handlers) {
  auto impl = std::make_unique<Impl>(version, std::move(handlers));
  Impl& self = *impl;
  self.tls = settings.broker.starts_with("mqtts://");
  const std::string address = settings.broker.substr(settings.broker.find("://"));
  try {
    if (self.tls) watch_tls();
    const std::lock_guard alone(lifecycle());
    self.client.emplace(std::string(self.tls ? "ssl" : "tcp") + address, settings.client_id,
                        mqtt::create_options_builder()
                            .mqtt_version(protocol(version))
                            .max_buffered_messages(2 * static_cast<int>(PublishQueue::kInFlight))
                            .finalize());
    self.client->set_connection_lost_handler([&self](const std::string&) { self.lost(); });
    self.client->set_disconnected_handler([&self](const mqtt::properties&, mqtt::ReasonCode reason) {
      self.disconnected_by_broker(static_cast<int>(reason));
    });
    self.client->set_message_callback(
        [&self](const mqtt::const_message_ptr& message) { self.arrived(*message); });
  } catch (const std::exception& error) {
    return fail(Errc::malformed, error.what());
  }
  return std::unique_ptr<PahoTransport>(new PahoTransport(std::move(impl)));
}

Status PahoTransport::connect(const MqttSettings& settings, const std::string& password, int will_qos,
                              const std::string& will) {
  const bool v5 = impl_->version == 5;
  const bool guest = settings.client_id.empty();  // whose session is worth nothing without it
  try {
    mqtt::connect_options_builder options;
    options
        .mqtt_version(protocol(impl_->version))
        // Paho asks after one such interval of silence and gives up after another without an answer.
        .keep_alive_interval(std::chrono::duration_cast<std::chrono::seconds>(settings.keep_alive / 2))
        .connect_timeout(kConnectTimeout)
        .max_inflight(static_cast<int>(PublishQueue::kBrokerTakesAtOnce));
    if (v5) {
      options.clean_start(guest).properties(
          {{mqtt::property::SESSION_EXPIRY_INTERVAL, guest ? 0 : to_seconds(settings.session_expiry)},
           {mqtt::property::MAXIMUM_PACKET_SIZE, kLargestPacket}});
    } else {
      options.clean_session(guest);
    }
    if (!settings.username.empty()) options.user_name(settings.username);
    if (!password.empty()) options.password(password);
    if (!settings.heartbeat_topic.empty()) {
      options.will(mqtt::message(settings.heartbeat_topic, will, will_qos, /*retained=*/true));
    }
    if (impl_->tls) {
      options.ssl(mqtt::ssl_options_builder().verify(true).trust_store(settings.ca_file.string()).finalize());
    }
    impl_->client->connect(options.finalize(), nullptr, *impl_);
  } catch (const std::exception& error) {
    return fail(Errc::unavailable, error.what());
  }
  return success();
}

Status PahoTransport::publish(const PublishQueue::Outgoing& message) {
  try {
    impl_->client->publish(
        mqtt::message::create(message.topic, message.payload, message.qos, message.retained),
        std::bit_cast<void*>(message.ticket), *impl_);
  } catch (const std::exception& error) {
    return fail(Errc::unavailable, error.what());
  }
  return success();
}

void PahoTransport::subscribe(const std::vector<std::string>& filters) {
  mqtt::subscribe_options retained_once;
  retained_once.set_retain_handling(mqtt::subscribe_options::SEND_RETAINED_ON_NEW);
  for (const std::string& filter : filters) {  // each by itself, for an answer of its own
    try {
      impl_->client->subscribe(filter, 1, nullptr, *impl_,
                               impl_->version == 5 ? retained_once : mqtt::subscribe_options());
    } catch (const std::exception&) {  // the connection is lost: over the next
    }
  }
}

void PahoTransport::unsubscribe(const std::vector<std::string>& filters) {
  if (filters.empty()) return;
  try {
    impl_->client->unsubscribe(mqtt::string_collection::create(filters));
  } catch (const std::exception&) {  // the next connection tries again
  }
}

Status PahoTransport::disconnect() {
  try {
    impl_->client->disconnect(0, nullptr, *impl_);
  } catch (const std::exception& error) {
    return fail(Errc::unavailable, error.what());
  }
  return success();
}

}  // namespace gyle
