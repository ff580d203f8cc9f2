// Uses paho's C library rather than its C++ one, whose messages (1.2.0) do not show their packet identifier,
// needed to recognise a redelivery. The C++ one also hands OpenSSL a pointer to options that are gone by the
// time a certificate is refused, so that the reason is lost.
//
// The only file that knows paho. What it relies on, each seen by experiment or in paho 1.3.12:
//   - a message is acknowledged after messageArrived has returned, whatever it returns;
//   - messageArrived is called with paho's own lock held, so most calls from other threads wait until it
//     returns: every call is made from a callback or from the link's own thread, never from a caller's;
//   - callbacks of one client for CONNACK and for messages come on one thread, in the order of the packets.
#include <MQTTAsync.h>
#include <fmt/format.h>

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <map>
#include <mutex>
#include <random>
#include <thread>
#include <utility>

#include "mqtt/announcements.h"
#include "mqtt/backlog_gate.h"
#include "mqtt/backoff.h"
#include "mqtt/heartbeat.h"
#include "mqtt/link.h"
#include "mqtt/subscriptions.h"

namespace gyle {
namespace {

using Instant = std::chrono::steady_clock::time_point;
using std::chrono::steady_clock;

constexpr std::size_t kPublishesWaiting = 1000;
constexpr std::size_t kBrokerTakesAtOnce = 20;                      // by default
constexpr std::size_t kPublishesInFlight = kBrokerTakesAtOnce - 2;  // a beat and the last message never wait
constexpr unsigned kLargestPacket = 65536 + 4096;  // a payload of 64 KiB with its topic and properties
constexpr int kConnectTimeout_s = 10;
constexpr auto kConnectGivenUp = seconds(15);
constexpr auto kStableAfter = seconds(10);  // of a connection, at least
constexpr auto kDisconnectGrace = std::chrono::milliseconds(300);
constexpr auto kRetryFirst = std::chrono::milliseconds(50);
constexpr auto kRetryLongest = seconds(2);

void add_integer(MQTTProperties& properties, MQTTPropertyCodes code, unsigned value) {
  MQTTProperty property{};
  property.identifier = code;
  property.value.integer4 = value;
  MQTTProperties_add(&properties, &property);
}

unsigned to_seconds(Duration d) {
  return static_cast<unsigned>(std::clamp<std::int64_t>(d.count() / 1000, 0, 0xfffffffe));
}

std::string detail(int code, const char* message) {
  if (message != nullptr) return message;
  const char* text = MQTTAsync_strerror(code);
  return text != nullptr ? text : fmt::format("error {}", code);
}

}  // namespace

struct MqttLink::Impl : std::enable_shared_from_this<MqttLink::Impl> {
  struct Publication {
    std::string topic;
    std::string payload;
    bool retained;
    std::function<void(Status)> on_done;
    Impl* link;
    std::uint64_t turn;  // the order of publish()
    bool beat = false;   // is not sent again when it is lost: the next one is newer
  };
  enum class Phase { waiting, connecting, connected };

  Impl(MqttSettings s, std::string p, const std::vector<std::string>& f, LinkHandlers h, const Clock& c,
       std::vector<std::string> former)
      : settings(std::move(s)),
        password(std::move(p)),
        filters(without_covered(f)),
        obsolete(std::move(former)),
        handlers(std::move(h)),
        clock(c) {
    std::erase_if(obsolete, [this](const std::string& filter) {
      return std::find(filters.begin(), filters.end(), filter) != filters.end();
    });
  }

  // --- the link's own thread ---

  void run() {
    std::unique_lock lock(mutex);
    while (!stopping.stop_requested()) {
      const Instant now = steady_clock::now();
      if (!done.empty()) {
        tell_done(lock);
      } else if (!news.empty()) {
        tell_news(lock);
      } else if (phase == Phase::connecting && now >= next_attempt) {
        failed("the broker does not answer");  // should paho ever forget an attempt
      } else if (phase == Phase::waiting && now >= next_attempt) {
        phase = Phase::connecting;
        next_attempt = now + kConnectGivenUp;
        tls_errors.clear();
        lock.unlock();
        const int code = connect();
        lock.lock();
        if (code != MQTTASYNC_SUCCESS) failed(detail(code, nullptr));
      } else if (may_beat()) {
        beat_due = false;
        beating = true;
        send(lock, beat(heartbeat::State::alive));
      } else if (may_send()) {
        Publication next = std::move(waiting.front());
        waiting.pop_front();
        send(lock, std::move(next));
      } else {
        const auto wake = [this] {
          return stopping.stop_requested() || !done.empty() || !news.empty() || may_beat() || may_send() ||
                 woken;
        };
        if (phase == Phase::connected) {
          changed.wait(lock, wake);
        } else {
          changed.wait_until(lock, next_attempt, wake);
        }
        woken = false;
      }
    }
    finish(lock);
  }

  bool tls() const { return settings.broker.starts_with("mqtts://"); }

  bool may_send() const {
    return phase == Phase::connected && !waiting.empty() && in_flight.size() < kPublishesInFlight;
  }

  // One at a time: a broker that does not answer is not sent more and more of them.
  bool may_beat() const {
    return phase == Phase::connected && beat_due && !beating && !settings.heartbeat_topic.empty();
  }

  Publication beat(heartbeat::State state) {
    std::string payload =
        handlers.signs ? state == heartbeat::State::alive ? handlers.signs->alive : handlers.signs->stopped
                       : heartbeat::payload(state, clock.now());
    return {settings.heartbeat_topic, std::move(payload), true, {}, this, turns++, true};
  }

  int connect() {
    const bool v5 = settings.version == 5;
    MQTTAsync_connectOptions options = MQTTAsync_connectOptions_initializer;
    if (v5) options = MQTTAsync_connectOptions_initializer5;
    options.MQTTVersion = v5 ? MQTTVERSION_5 : MQTTVERSION_3_1_1;
    const bool guest = settings.client_id.empty();  // whose session is worth nothing without it
    options.cleansession = !v5 && guest ? 1 : 0;
    options.cleanstart = v5 && guest ? 1 : 0;
    // Paho asks after one such interval of silence and gives up after another without an answer.
    options.keepAliveInterval = static_cast<int>(to_seconds(settings.keep_alive / 2));
    options.connectTimeout = kConnectTimeout_s;
    options.maxInflight = static_cast<int>(kBrokerTakesAtOnce);
    options.context = this;
    if (!settings.username.empty()) options.username = settings.username.c_str();
    if (!password.empty()) options.password = password.c_str();
    MQTTAsync_willOptions will = MQTTAsync_willOptions_initializer;
    const std::string gone = handlers.signs ? handlers.signs->gone : heartbeat::payload_when_gone();
    if (!settings.heartbeat_topic.empty()) {
      will.topicName = settings.heartbeat_topic.c_str();
      will.message = gone.c_str();
      will.qos = beat_qos;
      will.retained = 1;
      options.will = &will;
    }
    MQTTAsync_SSLOptions ssl = MQTTAsync_SSLOptions_initializer;
    if (tls()) {
      ssl.verify = 1;
      if (!settings.ca_file.empty()) ssl.trustStore = settings.ca_file.c_str();
      ssl.ssl_error_context = this;
      ssl.ssl_error_cb = [](const char* line, std::size_t length, void* self) {
        static_cast<Impl*>(self)->tls_failed({line, length});
        return 1;  // and the next line
      };
      options.ssl = &ssl;
    }
    MQTTProperties properties = MQTTProperties_initializer;
    if (v5) {
      add_integer(properties, MQTTPROPERTY_CODE_SESSION_EXPIRY_INTERVAL,
                  guest ? 0 : to_seconds(settings.session_expiry));
      add_integer(properties, MQTTPROPERTY_CODE_MAXIMUM_PACKET_SIZE, kLargestPacket);
      options.connectProperties = &properties;
      options.onSuccess5 = [](void* self, MQTTAsync_successData5* data) {
        static_cast<Impl*>(self)->connected(data->alt.connect.sessionPresent != 0);
      };
      options.onFailure5 = [](void* self, MQTTAsync_failureData5* data) {
        static_cast<Impl*>(self)->connect_failed(data->code, detail(data->code, data->message));
      };
    } else {
      options.onSuccess = [](void* self, MQTTAsync_successData* data) {
        static_cast<Impl*>(self)->connected(data->alt.connect.sessionPresent != 0);
      };
      options.onFailure = [](void* self, MQTTAsync_failureData* data) {
        static_cast<Impl*>(self)->connect_failed(data->code, detail(data->code, data->message));
      };
    }
    const int code = MQTTAsync_connect(client, &options);
    MQTTProperties_free(&properties);
    return code;
  }

  void send(std::unique_lock<std::mutex>& lock, Publication next) {
    auto publication = std::make_unique<Publication>(std::move(next));
    Publication* const key = publication.get();
    in_flight[key] = std::move(publication);
    const int qos = key->beat ? beat_qos : 1;
    lock.unlock();

    MQTTAsync_message message = MQTTAsync_message_initializer;
    message.payload = key->payload.data();
    message.payloadlen = static_cast<int>(key->payload.size());
    message.qos = qos;
    message.retained = key->retained ? 1 : 0;
    MQTTAsync_responseOptions response = MQTTAsync_responseOptions_initializer;
    response.context = key;
    if (settings.version == 5) {
      response.onSuccess5 = [](void* k, MQTTAsync_successData5*) { published(k, success()); };
      response.onFailure5 = [](void* k, MQTTAsync_failureData5* data) {
        if (data->reasonCode >= MQTTREASONCODE_UNSPECIFIED_ERROR) {
          published(k,
                    fail(Errc::refused, fmt::format("the broker does not take it: {}",
                                                    detail(0, MQTTReasonCode_toString(data->reasonCode)))));
        } else {
          published(k, fail(Errc::unavailable, detail(data->code, data->message)));
        }
      };
    } else {
      response.onSuccess = [](void* k, MQTTAsync_successData*) { published(k, success()); };
      response.onFailure = [](void* k, MQTTAsync_failureData* data) {
        published(k, fail(Errc::unavailable, detail(data->code, data->message)));
      };
    }
    const int code = MQTTAsync_sendMessage(client, key->topic.c_str(), &message, &response);

    lock.lock();
    if (code == MQTTASYNC_SUCCESS) return;
    settle(key, fail(Errc::unavailable, detail(code, nullptr)));
    changed.wait_for(lock, kRetryFirst, [this] { return stopping.stop_requested(); });
  }

  static void published(void* key, Status status) {
    auto* const publication = static_cast<Publication*>(key);
    Impl* const link = publication->link;
    const std::lock_guard lock(link->mutex);
    link->settle(publication, std::move(status));
  }

  void settle(Publication* key, Status status) {
    const auto found = in_flight.find(key);
    if (found == in_flight.end()) return;  // it waits again, or has been answered
    if (found->second->beat) {
      beating = false;
      if (!status && !status.error().worth_retrying() && !std::exchange(beat_refused, true)) {
        news.push_back({LinkEvent::Kind::degraded, false,
                        fmt::format("nobody can see whether the watcher is alive: publishing on {}: {}",
                                    settings.heartbeat_topic, status.error().message)});
      }
    } else if (!status && status.error().worth_retrying() && !stopping.stop_requested()) {
      wait_again(*found->second);
    } else {
      done.emplace_back(std::move(found->second->on_done), std::move(status));
    }
    in_flight.erase(found);
    changed.notify_all();
  }

  // Back to its place in the order: what a connection took with it is sent again over the next.
  void wait_again(Publication& publication) {
    const auto place = std::find_if(waiting.begin(), waiting.end(),
                                    [&](const Publication& other) { return other.turn > publication.turn; });
    waiting.insert(place, std::move(publication));
  }

  // The broker has forgotten our session, and paho does not always report the fate of the messages in flight.
  // It may still call back about them, so they are kept. `mutex` is held.
  void send_all_again() {
    for (auto& [key, publication] : in_flight) {
      if (!publication->beat) wait_again(*publication);
      left_to_paho.push_back(std::move(publication));
    }
    in_flight.clear();
    beating = false;
  }

  void tell_done(std::unique_lock<std::mutex>& lock) {
    const auto told = std::exchange(done, {});
    lock.unlock();
    for (const auto& [on_done, status] : told) {
      if (on_done) on_done(status);
    }
    lock.lock();
  }

  void tell_news(std::unique_lock<std::mutex>& lock) {
    const auto told = std::exchange(news, {});
    lock.unlock();
    for (const LinkEvent& event : told) handlers.on_event(event);
    lock.lock();
  }

  // Leaves the broker and destroys the client, unless a message is held: then everything stays as it is for
  // the rest of the process.
  void finish(std::unique_lock<std::mutex>& lock) {
    if (phase == Phase::connected && !held && !settings.heartbeat_topic.empty()) {
      send(lock, beat(heartbeat::State::stopped));
    }
    // Paho would wait too, but looks once a second only whether it still has to.
    changed.wait_for(lock, kDisconnectGrace,
                     [this] { return in_flight.empty() || phase != Phase::connected || held || abandoned; });
    lock.unlock();
    MQTTAsync_disconnectOptions options = MQTTAsync_disconnectOptions_initializer;
    if (settings.version == 5) options = MQTTAsync_disconnectOptions_initializer5;
    options.context = this;
    if (settings.version == 5) {
      options.onSuccess5 = [](void* self, MQTTAsync_successData5*) { static_cast<Impl*>(self)->gone(); };
      options.onFailure5 = [](void* self, MQTTAsync_failureData5*) { static_cast<Impl*>(self)->gone(); };
    } else {
      options.onSuccess = [](void* self, MQTTAsync_successData*) { static_cast<Impl*>(self)->gone(); };
      options.onFailure = [](void* self, MQTTAsync_failureData*) { static_cast<Impl*>(self)->gone(); };
    }
    const int code = MQTTAsync_disconnect(client, &options);
    lock.lock();
    if (code == MQTTASYNC_SUCCESS) changed.wait(lock, [this] { return disconnected || held || abandoned; });
    const bool left = !held && !abandoned;
    if (left) {
      for (auto& [key, publication] : in_flight) never_sent(*publication);
      for (Publication& publication : waiting) never_sent(publication);
      waiting.clear();
      tell_done(lock);
    }
    finished = true;
    changed.notify_all();
    lock.unlock();
    if (left) {  // paho's own threads may take a second to end, which nobody needs to wait for
      const std::lock_guard alone(lifecycle());
      MQTTAsync_destroy(&client);
    }
  }

  void never_sent(Publication& publication) {
    done.emplace_back(std::move(publication.on_done),
                      fail(Errc::unavailable, "the connection is being closed"));
  }

  // Destroying the last client ends paho as a whole, which must not meet the creation of the next one.
  static std::mutex& lifecycle() {
    static auto& mutex = *new std::mutex;
    return mutex;
  }

  // Links of which a thread of paho's is still inside a handler, with paho's lock: what it uses stays, and no
  // other link can work in this process. Guarded by lifecycle().
  static std::vector<std::shared_ptr<Impl>>& kept_for_ever() {
    static auto& links = *new std::vector<std::shared_ptr<Impl>>;
    return links;
  }

  // --- paho's threads ---

  void gone() {
    const std::lock_guard lock(mutex);
    disconnected = true;
    changed.notify_all();
  }

  void connected(bool session_present) {
    {
      const std::lock_guard lock(mutex);
      phase = Phase::connected;
      connected_at = steady_clock::now();
      announcements.connected();
      beat_due = true;  // over what the last will has left there
      gate.connected(session_present, connected_at);
      if (!session_present) send_all_again();
    }
    handlers.on_event({LinkEvent::Kind::connected, session_present,
                       fmt::format("connected to the broker {}{}", settings.broker,
                                   session_present ? ", which has kept what came meanwhile" : "")});
    subscribe();
    if (session_present) unsubscribe();
    const std::lock_guard lock(mutex);
    changed.notify_all();
  }

  static std::vector<char*> pointers(std::vector<std::string>& texts) {
    std::vector<char*> all;
    for (std::string& text : texts) all.push_back(text.data());
    return all;
  }

  // After subscribing: a message that an old filter and a new one match must not fall between them. Should it
  // fail, the next connection tries again.
  void unsubscribe() {
    if (obsolete.empty()) return;
    const std::vector<char*> topics = pointers(obsolete);
    MQTTAsync_responseOptions response = MQTTAsync_responseOptions_initializer;
    static_cast<void>(
        MQTTAsync_unsubscribeMany(client, static_cast<int>(topics.size()), topics.data(), &response));
  }

  void subscribe() {
    if (filters.empty()) return;
    const std::vector<char*> topics = pointers(filters);
    const std::vector<int> qos(filters.size(), 1);
    std::vector<MQTTSubscribe_options> retained_once(filters.size(), MQTTSubscribe_options_initializer);
    for (MQTTSubscribe_options& option : retained_once) option.retainHandling = 1;
    MQTTAsync_responseOptions response = MQTTAsync_responseOptions_initializer;
    response.context = this;
    if (settings.version == 5) {
      response.subscribeOptions = retained_once.front();  // used when there is one only
      response.subscribeOptionsList = retained_once.data();
      response.subscribeOptionsCount = static_cast<int>(retained_once.size());
      response.onSuccess5 = [](void* self, MQTTAsync_successData5* data) {
        std::vector<int> granted;
        if (data->alt.sub.reasonCodeCount > 1) {
          granted.assign(data->alt.sub.reasonCodes,
                         data->alt.sub.reasonCodes + data->alt.sub.reasonCodeCount);
        } else {
          granted.push_back(data->reasonCode);
        }
        static_cast<Impl*>(self)->granted(granted);
      };
      response.onFailure5 = [](void* self, MQTTAsync_failureData5* data) {
        static_cast<Impl*>(self)->not_subscribed(
            detail(data->code, MQTTReasonCode_toString(data->reasonCode)));
      };
    } else {
      response.onSuccess = [](void* self, MQTTAsync_successData* data) {
        auto* const link = static_cast<Impl*>(self);
        if (link->filters.size() > 1) {
          link->granted({data->alt.qosList, data->alt.qosList + link->filters.size()});
        } else {
          link->granted({data->alt.qos});
        }
      };
      response.onFailure = [](void* self, MQTTAsync_failureData* data) {
        static_cast<Impl*>(self)->not_subscribed(detail(data->code, data->message));
      };
    }
    const int code = MQTTAsync_subscribeMany(client, static_cast<int>(topics.size()), topics.data(),
                                             qos.data(), &response);
    if (code != MQTTASYNC_SUCCESS) not_subscribed(detail(code, nullptr));
  }

  void granted(const std::vector<int>& codes) {
    if (stopping.stop_requested()) return;
    for (std::size_t i = 0; i < codes.size() && i < filters.size(); ++i) {
      if (codes[i] == 1) continue;
      handlers.on_event({codes[i] == 0 ? LinkEvent::Kind::degraded : LinkEvent::Kind::denied, false,
                         codes[i] == 0
                             ? fmt::format("the broker delivers {} at QoS 0 only: messages that come while "
                                           "the connection is down are lost",
                                           filters[i])
                             : fmt::format("the broker does not permit subscribing to {}", filters[i])});
    }
  }

  void not_subscribed(const std::string& why) {
    if (stopping.stop_requested()) return;
    handlers.on_event(
        {LinkEvent::Kind::denied, false,
         fmt::format("the broker does not permit subscribing to {}: {}", fmt::join(filters, ", "), why)});
  }

  void tls_failed(std::string_view line) {
    const std::lock_guard lock(mutex);
    tls_errors += line;
  }

  // `mutex` is held. Why there is no connection at all, as far as OpenSSL has reported.
  std::string not_reached() const {
    if (!tls()) return "nobody answers there";
    const std::string trusted = settings.ca_file.empty() ? "the system" : settings.ca_file.string();
    if (tls_errors.find("certificate verify failed") != std::string::npos) {
      return fmt::format(
          "the authorities of {} do not vouch for its certificate: another has signed it, or "
          "it is out of date",
          trusted);
    }
    if (tls_errors.find("X509_load_cert") != std::string::npos) {
      return fmt::format("{} is not a readable file of PEM certificates", trusted);
    }
    if (tls_errors.empty()) return "nobody answers there over TLS with a certificate for that name";
    return fmt::format("TLS fails: {}", tls_errors.substr(0, tls_errors.find('\n')));
  }

  void connect_failed(int code, const std::string& why) {
    const bool credentials = code == 4 || code == 5 || code == MQTTREASONCODE_BAD_USER_NAME_OR_PASSWORD ||
                             code == MQTTREASONCODE_NOT_AUTHORIZED;
    const std::lock_guard lock(mutex);
    // To some brokers a last will at QoS 1 is a reason to refuse. In MQTT 3.1.1 they cannot say so and hang
    // up, which looks like a broker that is not there: then every other attempt asks for less.
    if (code == MQTTREASONCODE_QOS_NOT_SUPPORTED) {
      beat_qos = 0;
    } else if (settings.version != 5 && code == MQTTASYNC_FAILURE) {
      beat_qos = 1 - beat_qos;
    }
    failed(code == MQTTASYNC_FAILURE ? not_reached()
           : credentials             ? "it does not accept the user name and password"
           : code >= MQTTREASONCODE_UNSPECIFIED_ERROR
               ? MQTTReasonCode_toString(static_cast<MQTTReasonCodes>(code))
               : why);
  }

  // `mutex` is held.
  void failed(const std::string& why) {
    if (phase != Phase::connecting) return;
    phase = Phase::waiting;
    next_attempt = steady_clock::now() + backoff.after_failure(uniform(random));
    const std::string reason = fmt::format("no connection to the broker {}: {}", settings.broker, why);
    if (announcements.report_refused(reason)) news.push_back({LinkEvent::Kind::refused, false, reason});
    woken = true;
    changed.notify_all();
  }

  void lost() {
    const std::lock_guard lock(mutex);
    if (phase != Phase::connected) return;
    phase = Phase::waiting;
    const Instant now = steady_clock::now();
    const auto lived = std::chrono::duration_cast<Duration>(now - connected_at);
    next_attempt = now + backoff.after_loss(lived, uniform(random));
    news.push_back(
        {LinkEvent::Kind::lost, false,
         fmt::format("the connection to the broker {} is lost; trying again{}", settings.broker,
                     lived < kStableAfter ? fmt::format(" (if this goes on, another client may be using the "
                                                        "client id \"{}\" too)",
                                                        settings.client_id)
                                          : "")});
    woken = true;
    changed.notify_all();
  }

  void arrived(std::string topic, const MQTTAsync_message& from) {
    Message message;
    message.topic = std::move(topic);
    const auto size = static_cast<std::size_t>(from.payloadlen);
    const std::size_t of_use = size > kLargestPayload ? kPayloadHeadBytes : size;
    message.payload.assign(static_cast<const char*>(from.payload), of_use);
    message.left_out = size - of_use;
    const Instant arrival = steady_clock::now();
    message.received = clock.now();
    message.retained = from.retained != 0;
    message.duplicate = from.dup != 0;
    if (from.qos > 0) message.packet_id = static_cast<std::uint16_t>(from.msgid);
    {
      const std::lock_guard lock(mutex);
      message.backlog = !message.retained && gate.is_backlog(message.topic, steady_clock::now());
    }
    auto pause = std::chrono::duration_cast<std::chrono::milliseconds>(kRetryFirst);
    for (Status kept = handlers.on_message(message, stopping.get_token());
         !kept && kept.error().worth_retrying(); kept = handlers.on_message(message, stopping.get_token())) {
      std::unique_lock lock(mutex);
      if (changed.wait_for(lock, pause, [this] { return stopping.stop_requested(); })) hold(lock);
      pause = std::min<std::chrono::milliseconds>(pause * 2, kRetryLongest);
      // By the clock as it is now: it may have been set meanwhile.
      message.received = clock.now() - std::chrono::duration_cast<Duration>(steady_clock::now() - arrival);
    }
    const std::lock_guard lock(mutex);
    if (!message.retained) gate.finished(steady_clock::now());
  }

  // Never returns: to return is to acknowledge, and there is no other way to leave the message with the
  // broker.
  [[noreturn]] void hold(std::unique_lock<std::mutex>& lock) {
    held = true;
    changed.notify_all();
    for (;;) changed.wait(lock);
  }

  const MqttSettings settings;
  const std::string password;
  std::vector<std::string> filters;
  std::vector<std::string> obsolete;  // filters that the broker may still know, and need not
  const LinkHandlers handlers;
  const Clock& clock;
  MQTTAsync client = nullptr;
  std::stop_source stopping;

  // Never held while paho or a handler is called.
  std::mutex mutex;
  std::condition_variable changed;
  Phase phase = Phase::waiting;
  Instant next_attempt;  // waiting: when; connecting: when to give it up
  Instant connected_at;
  Backoff backoff;
  Announcements announcements;
  BacklogGate gate;
  std::mt19937 random{std::random_device{}()};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  std::deque<Publication> waiting;
  std::map<Publication*, std::unique_ptr<Publication>> in_flight;  // paho holds the key
  std::vector<std::unique_ptr<Publication>> left_to_paho;          // and of these too
  std::uint64_t turns = 0;
  int beat_qos = 1;  // of the last will too; changes between two connections only
  bool beat_due = false;
  bool beating = false;       // a beat is in flight
  bool beat_refused = false;  // has been reported
  std::vector<std::pair<std::function<void(Status)>, Status>> done;
  std::vector<LinkEvent> news;
  std::string tls_errors;  // of this attempt, lines of OpenSSL's
  bool woken = false;
  bool started = false;
  bool disconnected = false;  // the DISCONNECT was sent
  bool held = false;          // a message is neither kept nor acknowledged
  bool abandoned = false;     // stop() did not wait any longer
  bool finished = false;      // the link's thread is at its end
};

MqttLink::MqttLink(MqttSettings settings, std::string password, const std::vector<std::string>& filters,
                   LinkHandlers handlers, const Clock& clock, std::vector<std::string> former_filters)
    : impl_(std::make_shared<Impl>(std::move(settings), std::move(password), filters, std::move(handlers),
                                   clock, std::move(former_filters))) {}

MqttLink::~MqttLink() {
  if (impl_) static_cast<void>(stop());
}

Status MqttLink::start() {
  const std::string& broker = impl_->settings.broker;
  const bool tls = impl_->tls();
  const std::size_t prefix = tls ? 8 : 7;
  if ((!tls && !broker.starts_with("mqtt://")) || broker.size() <= prefix) {
    return fail(
        Errc::malformed,
        fmt::format("the broker's address \"{}\" is not mqtt://host[:port] or mqtts://host[:port]", broker));
  }
  if (impl_->settings.heartbeat_topic.find_first_of("+#") != std::string::npos) {
    return fail(Errc::malformed, fmt::format("the heartbeat's topic \"{}\" is one to publish on: it cannot "
                                             "have a + or # in it",
                                             impl_->settings.heartbeat_topic));
  }
  const std::string uri = (tls ? "ssl://" : "tcp://") + broker.substr(prefix);
  MQTTAsync_createOptions options = MQTTAsync_createOptions_initializer;
  options.MQTTVersion = impl_->settings.version == 5 ? MQTTVERSION_5 : MQTTVERSION_3_1_1;
  options.maxBufferedMessages = static_cast<int>(2 * kPublishesInFlight);
  std::unique_lock alone(Impl::lifecycle());
  if (!Impl::kept_for_ever().empty()) {
    return fail(Errc::refused,
                "a message of the last connection is held still; only a new process can connect");
  }
  int code = MQTTAsync_createWithOptions(&impl_->client, uri.c_str(), impl_->settings.client_id.c_str(),
                                         MQTTCLIENT_PERSISTENCE_NONE, nullptr, &options);
  alone.unlock();
  if (code == MQTTASYNC_SUCCESS) {
    code = MQTTAsync_setCallbacks(
        impl_->client, impl_.get(), [](void* self, char*) { static_cast<Impl*>(self)->lost(); },
        [](void* self, char* topic, int length, MQTTAsync_message* message) {
          static_cast<Impl*>(self)->arrived(
              length > 0 ? std::string(topic, static_cast<std::size_t>(length)) : std::string(topic),
              *message);
          MQTTAsync_freeMessage(&message);
          MQTTAsync_free(topic);
          return 1;
        },
        nullptr);
  }
  if (code != MQTTASYNC_SUCCESS) {
    return fail(Errc::malformed,
                fmt::format("the broker's address \"{}\" cannot be used: {}", broker, detail(code, nullptr)));
  }
  const std::lock_guard lock(impl_->mutex);
  impl_->started = true;
  std::thread([link = impl_] { link->run(); }).detach();
  return success();
}

void MqttLink::publish(std::string topic, std::string payload, bool retained,
                       std::function<void(Status)> on_done) {
  std::unique_lock lock(impl_->mutex);
  if (impl_->waiting.size() >= kPublishesWaiting || impl_->stopping.stop_requested()) {
    lock.unlock();
    if (on_done)
      on_done(fail(Errc::unavailable, "too many messages wait for the broker, or the link is stopping"));
    return;
  }
  impl_->waiting.push_back(
      {std::move(topic), std::move(payload), retained, std::move(on_done), impl_.get(), impl_->turns++});
  impl_->changed.notify_all();
}

void MqttLink::beat() {
  const std::lock_guard lock(impl_->mutex);
  impl_->beat_due = true;
  impl_->changed.notify_all();
}

Status MqttLink::stop(Duration max_wait) {
  std::unique_lock lock(impl_->mutex);
  if (!impl_->started) return success();
  impl_->stopping.request_stop();
  impl_->changed.notify_all();
  const bool in_time = impl_->changed.wait_for(lock, impl_->abandoned ? Duration(0) : max_wait,
                                               [this] { return impl_->finished || impl_->held; });
  if (in_time && !impl_->held) return success();
  if (!std::exchange(impl_->abandoned, true)) {
    impl_->changed.notify_all();
    lock.unlock();
    const std::lock_guard alone(Impl::lifecycle());
    Impl::kept_for_ever().push_back(impl_);
  }
  return fail(Errc::unavailable,
              "a message could not be kept before the end; the broker will deliver it again");
}

}  // namespace gyle
