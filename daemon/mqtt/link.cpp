#include "mqtt/link.h"

#include <fmt/format.h>

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <random>
#include <thread>
#include <utility>

#include "mqtt/backlog_gate.h"
#include "mqtt/host_name.h"
#include "mqtt/paho_transport.h"
#include "mqtt/session.h"
#include "mqtt/subscriptions.h"

namespace gyle {
namespace {

using Instant = Session::Instant;
using std::chrono::steady_clock;

constexpr auto kDisconnectGrace = std::chrono::milliseconds(300);
constexpr auto kRetryFirst = std::chrono::milliseconds(50);
constexpr auto kRetryLongest = seconds(2);

}  // namespace

// Between the decisions (Session, BacklogGate) and the library (PahoTransport): one thread of the link's own,
// which makes every call that may wait for the library's lock, and one mutex.
struct MqttLink::Impl : std::enable_shared_from_this<MqttLink::Impl> {
  Impl(MqttSettings s, std::string p, const std::vector<std::string>& f, LinkHandlers h, const Clock& c,
       std::vector<std::string> former)
      : settings(std::move(s)),
        password(std::move(p)),
        filters(without_covered(f)),
        obsolete(std::move(former)),
        handlers(std::move(h)),
        clock(c),
        session(settings, handlers.signs) {
    std::erase_if(obsolete, [this](const std::string& filter) {
      return std::find(filters.begin(), filters.end(), filter) != filters.end();
    });
  }

  // --- the link's own thread ---

  void run() {
    std::unique_lock lock(mutex);
    while (!stopping.stop_requested()) {
      const Instant now = steady_clock::now();
      if (answer(lock) || report(lock)) continue;
      if (session.expired(now)) {
        failed(looking_up ? ConnectFailure{.bad_name = no_name_server()}
                          : ConnectFailure{.text = "the broker does not answer"});
      } else if (session.due(now)) {
        attempt = session.begin(now);
        if (named) {
          look_up();
        } else {
          connect(lock);
        }
      } else if (session.connecting() && looked_up) {
        const Status known = *std::exchange(looked_up, std::nullopt);
        if (known) {
          connect(lock);
        } else {
          failed({.bad_name = known.error().message});
        }
      } else if (const auto next = session.next(clock.now())) {
        send(lock, *next);
      } else {
        const auto wake = [this] { return stopping.stop_requested() || woken; };
        if (session.connected()) {
          changed.wait(lock, wake);
        } else {
          changed.wait_until(lock, session.wake(), wake);
        }
        woken = false;
      }
    }
    finish(lock);
  }

  // `mutex` is held.
  void wake_up() {
    woken = true;
    changed.notify_all();
  }

  bool answer(std::unique_lock<std::mutex>& lock) {
    const auto answers = session.queue().take_answers();
    if (answers.empty()) return false;
    lock.unlock();
    for (const auto& [on_done, status] : answers) {
      if (on_done) on_done(status);
    }
    lock.lock();
    return true;
  }

  bool report(std::unique_lock<std::mutex>& lock) {
    const auto news = session.take_news();
    if (news.empty()) return false;
    lock.unlock();
    for (const LinkEvent& event : news) handlers.on_event(event);
    lock.lock();
    return true;
  }

  // Before the library does it, which would hold its lock for as long as the name server does not answer, and
  // does not report that it was the name. `mutex` is held.
  void look_up() {
    looked_up.reset();
    if (std::exchange(looking_up, true)) return;  // the one of the last attempt will do
    std::thread([link = shared_from_this()] {
      Status known = check_host_known(link->settings.broker);
      const std::lock_guard lock(link->mutex);
      link->looking_up = false;
      link->looked_up = std::move(known);
      link->wake_up();
    }).detach();
  }

  std::string no_name_server() const {
    return fmt::format("the name \"{}\" is unknown: the name server does not answer",
                       named.value_or(settings.broker));
  }

  void connect(std::unique_lock<std::mutex>& lock) {
    const Attempt how = attempt;
    const std::string will = session.will();
    lock.unlock();
    if (transport && transport_version != how.version) transport.reset();
    Status asked = success();
    if (!transport) asked = open_transport(how.version);
    if (asked) asked = transport->connect(settings, password, how.will_qos, will);
    lock.lock();
    if (!asked) failed({.text = asked.error().message});
  }

  void send(std::unique_lock<std::mutex>& lock, const Session::Outgoing& message) {
    lock.unlock();
    const Status sent = transport->publish(message);
    lock.lock();
    if (sent) return;
    session.settle(message.ticket, sent);
    changed.wait_for(lock, kRetryFirst, [this] { return stopping.stop_requested(); });
  }

  Status open_transport(int version) {
    transport_version = version;
    BOOST_OUTCOME_TRY(opened, PahoTransport::create(settings, version, callbacks()));
    transport = std::move(opened);
    return success();
  }

  // Leaves the broker and destroys the client, unless a message is held: then everything stays as it is for
  // the rest of the process.
  void finish(std::unique_lock<std::mutex>& lock) {
    if (const auto last = held ? std::nullopt : session.last_beat(clock.now())) send(lock, *last);
    // The library would wait too, but looks once a second only whether it still has to.
    changed.wait_for(lock, kDisconnectGrace,
                     [this] { return session.all_settled() || !session.connected() || held || abandoned; });
    lock.unlock();
    const bool asked = transport && transport->disconnect();
    lock.lock();
    if (asked) changed.wait(lock, [this] { return disconnected || held || abandoned; });
    const bool left = !held && !abandoned;
    if (left) {
      session.queue().close({Errc::unavailable, "the connection is being closed"});
      answer(lock);
    }
    finished = true;
    changed.notify_all();
    lock.unlock();
    if (left) transport.reset();  // may take a second, which nobody needs to wait for
  }

  // Links of which a thread of the library's is still inside a handler, with its lock: what it uses stays, and
  // no other link can work in this process.
  struct Kept {
    std::mutex mutex;
    std::vector<std::shared_ptr<Impl>> links;
  };
  static Kept& kept_for_ever() {
    static auto& kept = *new Kept;
    return kept;
  }

  // --- the library's threads ---

  PahoTransport::Handlers callbacks() {
    return {
        .connected = [this](bool session_present,
                            const BrokerLimits& limits) { connected(session_present, limits); },
        .connect_failed =
            [this](const ConnectFailure& failure) {
              const std::lock_guard lock(mutex);
              failed(failure);
            },
        .lost =
            [this](const Loss& loss) {
              const std::lock_guard lock(mutex);
              session.connection_lost(loss, steady_clock::now(), uniform(random));
              wake_up();
            },
        .arrived = [this](Message message) { arrived(std::move(message)); },
        .published =
            [this](PublishQueue::Ticket ticket, const Status& status) {
              const std::lock_guard lock(mutex);
              session.settle(ticket, status);
              wake_up();
            },
        .subscribed =
            [this](const std::string& filter, int qos) {
              if (qos == 0) {
                report_now(LinkEvent::Kind::degraded,
                           fmt::format("the broker delivers {} at QoS 0 only: messages that come while the "
                                       "connection is down are lost",
                                       filter));
              } else if (qos != 1) {
                report_now(LinkEvent::Kind::denied,
                           fmt::format("the broker does not permit subscribing to {}", filter));
              }
            },
        .denied =
            [this](const std::string& filter, const std::string& why) {
              report_now(LinkEvent::Kind::denied,
                         fmt::format("the broker does not permit subscribing to {}: {}", filter, why));
            },
        .disconnected =
            [this] {
              const std::lock_guard lock(mutex);
              disconnected = true;
              wake_up();
            },
    };
  }

  // `mutex` is held.
  void failed(const ConnectFailure& failure) {
    session.connection_failed(failure, steady_clock::now(), uniform(random));
    wake_up();
  }

  void report_now(LinkEvent::Kind kind, std::string text) {
    if (!stopping.stop_requested()) handlers.on_event({kind, false, std::move(text)});
  }

  void connected(bool session_present, const BrokerLimits& limits) {
    LinkEvent event;
    {
      const std::lock_guard lock(mutex);
      const Instant now = steady_clock::now();
      event = session.connection_made(session_present, now);
      gate.connected(session_present, now);
    }
    event.limits = limits;
    handlers.on_event(event);
    transport->subscribe(filters);
    // After subscribing: a message that an old filter and a new one match must not fall between them. Should
    // it fail, the next connection tries again.
    if (session_present) transport->unsubscribe(obsolete);
    const std::lock_guard lock(mutex);
    wake_up();
  }

  void arrived(Message message) {
    const Instant arrival = steady_clock::now();
    message.received = clock.now();
    {
      const std::lock_guard lock(mutex);
      message.backlog = !message.retained && gate.is_backlog(message.topic, arrival);
    }
    auto pause = std::chrono::duration_cast<std::chrono::milliseconds>(kRetryFirst);
    for (Status kept = keep(message); !kept && kept.error().worth_retrying(); kept = keep(message)) {
      std::unique_lock lock(mutex);
      if (changed.wait_for(lock, pause, [this] { return stopping.stop_requested(); })) hold(lock);
      pause = std::min<std::chrono::milliseconds>(pause * 2, kRetryLongest);
      // By the clock as it is now: it may have been set meanwhile.
      message.received = clock.now() - std::chrono::duration_cast<Duration>(steady_clock::now() - arrival);
    }
    const std::lock_guard lock(mutex);
    if (!message.retained) gate.finished(steady_clock::now());
  }

  // What throws has not stored it.
  Status keep(const Message& message) {
    try {
      return handlers.on_message(message, stopping.get_token());
    } catch (const std::exception& error) {
      return fail(Errc::unavailable, error.what());
    }
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
  const std::vector<std::string> filters;
  std::vector<std::string> obsolete;  // filters that the broker may still know, and need not
  const LinkHandlers handlers;
  const Clock& clock;
  const std::optional<std::string> named =
      host_name_of(settings.broker);  // the host, unless it is an address
  std::stop_source stopping;

  // The link's own thread only; a callback may use what called it.
  std::unique_ptr<PahoTransport> transport;
  int transport_version = 0;
  Attempt attempt;

  // Never held while the library or a handler is called. Guards what follows.
  std::mutex mutex;
  std::condition_variable changed;
  Session session;
  BacklogGate gate;
  std::mt19937 random{std::random_device{}()};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  bool looking_up = false;          // the host's name, on a thread of its own
  std::optional<Status> looked_up;  // for the present attempt
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
  const std::size_t prefix = impl_->session.over_tls() ? 8 : 7;
  if ((prefix == 7 && !broker.starts_with("mqtt://")) || broker.size() <= prefix) {
    return fail(
        Errc::malformed,
        fmt::format("the broker's address \"{}\" is not mqtt://host[:port] or mqtts://host[:port]", broker));
  }
  if (impl_->settings.heartbeat_topic.find_first_of("+#") != std::string::npos) {
    return fail(Errc::malformed, fmt::format("the heartbeat's topic \"{}\" is one to publish on: it cannot "
                                             "have a + or # in it",
                                             impl_->settings.heartbeat_topic));
  }
  {
    const std::lock_guard alone(Impl::kept_for_ever().mutex);
    if (!Impl::kept_for_ever().links.empty()) {
      return fail(Errc::refused,
                  "a message of the last connection is held still; only a new process can connect");
    }
  }
  if (const Status opened = impl_->open_transport(impl_->settings.version); !opened) {
    return fail(opened.error().code, fmt::format("the broker's address \"{}\" cannot be used: {}", broker,
                                                 opened.error().message));
  }
  const std::lock_guard lock(impl_->mutex);
  impl_->started = true;
  std::thread([link = impl_] { link->run(); }).detach();
  return success();
}

void MqttLink::publish(std::string topic, std::string payload, bool retained,
                       std::function<void(Status)> on_done) {
  std::unique_lock lock(impl_->mutex);
  if (!impl_->stopping.stop_requested() &&
      impl_->session.queue().add(std::move(topic), std::move(payload), retained, on_done)) {
    impl_->wake_up();
    return;
  }
  lock.unlock();
  if (on_done) {
    on_done(fail(Errc::unavailable, "too many messages wait for the broker, or the link is stopping"));
  }
}

void MqttLink::beat() {
  const std::lock_guard lock(impl_->mutex);
  impl_->session.beat();
  impl_->wake_up();
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
    const std::lock_guard alone(Impl::kept_for_ever().mutex);
    Impl::kept_for_ever().links.push_back(impl_);
  }
  return fail(Errc::unavailable,
              "a message could not be kept before the end; the broker will deliver it again");
}

}  // namespace gyle
