#include "app/service.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <cstdlib>
#include <random>

#include "alerts/channels/log_channel.h"
#include "alerts/channels/mqtt_channel.h"
#include "alerts/delivery.h"
#include "app/daemon_cellar.h"
#include "app/receiver.h"
#include "app/systemd_notify.h"
#include "app/watch.h"
#include "clock/message_clock.h"
#include "clock/system_clock.h"
#include "config/read_file.h"
#include "control/http_server.h"
#include "control/routes.h"
#include "mqtt/link.h"
#include "storage/subscription_log.h"

namespace gyle {
namespace {

constexpr Duration kTickPeriod = seconds(10);
// A tick speaks of a moment a little ago, so that what arrived before it has been taken before it.
constexpr Duration kTickLag = seconds(5);
// After a connect, and after the last message that had waited at the broker: until then more may come, and to
// tick meanwhile would make the judgement believe in a silence that never was.
constexpr Duration kCatchingUp = seconds(10);

std::vector<std::string> filters_of(const std::vector<Source>& sources) {
  std::vector<std::string> filters;
  filters.reserve(sources.size());
  for (const Source& source : sources) filters.push_back(source.filter);
  return filters;
}

}  // namespace

struct Service::Parts {
  Parts(EventLoop& loop_in, Settings settings_in, Database database_in, bool follows_messages)
      : loop(loop_in),
        settings(std::move(settings_in)),
        database(std::move(database_in)),
        follows(follows_messages),
        watch(database, channel_names(),
              [this] {
                if (delivery) delivery->wake();
              }),
        cellar(watch, database, clock(), system_clock.now(), settings.mqtt.broker) {}

  const Clock& clock() const { return follows ? static_cast<const Clock&>(message_clock) : system_clock; }

  std::vector<std::string> channel_names() const {
    std::vector<std::string> names;
    if (settings.alerts.log) names.emplace_back("log");
    if (settings.alerts.mqtt) names.emplace_back("mqtt");
    return names;
  }

  std::vector<std::unique_ptr<Channel>> channels() {
    std::vector<std::unique_ptr<Channel>> all;
    if (settings.alerts.log) all.push_back(std::make_unique<LogChannel>(settings.display));
    if (settings.alerts.mqtt) all.push_back(std::make_unique<MqttChannel>(*link, settings.alerts.mqtt_topic));
    return all;
  }

  // What other threads post may come after the end: it then finds `alive` gone, which goes with the parts,
  // when no other thread is left to look.
  void post(std::function<void()> work) {
    loop.post([alive = std::weak_ptr<int>(alive), work = std::move(work)] {
      if (!alive.expired()) work();
    });
  }

  void received(const Received& message) {
    cellar.message_received(message.received);
    if (message.backlog) busy_until = system_clock.now() + kCatchingUp;
    for (const JournalRow& row : message.rows) {
      cellar.heard(row);
      watch.take(row);
    }
  }

  void link_event(const LinkEvent& event) {
    switch (event.kind) {
      case LinkEvent::Kind::connected:
        connected = true;
        busy_until = system_clock.now() + kCatchingUp;
        spdlog::info("connected to the broker {}", settings.mqtt.broker);
        break;
      case LinkEvent::Kind::lost:
      case LinkEvent::Kind::refused:
        connected = false;
        spdlog::warn("{}", event.text);
        break;
      case LinkEvent::Kind::degraded:
        spdlog::warn("{}", event.text);
        break;
    }
    cellar.broker_connected(connected);
    systemd::status(connected ? "watching; connected to the broker" : "no connection to the broker");
  }

  // Deaf, nobody can tell a silent sensor from a lost network: time stands still until messages come again.
  void tick() {
    if (follows || !connected || system_clock.now() < busy_until) return;
    watch.tick(clock().now() - kTickLag);
  }

  void repeat_tick() {
    loop.after(kTickPeriod, [this, alive_now = std::weak_ptr<int>(alive)] {
      if (alive_now.expired()) return;
      tick();
      repeat_tick();
    });
  }

  EventLoop& loop;
  const Settings settings;
  Database database;
  const bool follows;
  SystemClock system_clock;
  MessageClock message_clock;
  std::stop_source stopping;
  Watch watch;
  DaemonCellar cellar;
  std::unique_ptr<Receiver> receiver;
  std::unique_ptr<MqttLink> link;
  std::unique_ptr<Delivery> delivery;
  std::unique_ptr<HttpServer> control;
  bool connected = false;
  Time busy_until{};
  const std::shared_ptr<int> alive = std::make_shared<int>();
};

Result<std::unique_ptr<Service>> Service::start(EventLoop& loop, const Settings& settings,
                                                const ServiceOptions& options) {
  const char* const credentials = std::getenv("CREDENTIALS_DIRECTORY");
  BOOST_OUTCOME_TRY(password, broker_password(settings.mqtt, credentials == nullptr ? "" : credentials));
  BOOST_OUTCOME_TRY(database, Database::open(settings.storage.database));
  auto parts = std::make_unique<Parts>(loop, settings, std::move(database), options.clock_follows_messages);
  Parts& p = *parts;

  BOOST_OUTCOME_TRY(p.watch.configure(settings.vessels, settings.display));
  BOOST_OUTCOME_TRY(p.cellar.open());
  BOOST_OUTCOME_TRY(p.watch.open());

  BOOST_OUTCOME_TRY(receiving, Database::open(settings.storage.database, p.stopping.get_token()));
  p.receiver = std::make_unique<Receiver>(
      std::move(receiving), settings.storage.refusals_kept, settings.sources,
      p.follows ? &p.message_clock : nullptr,
      [&p](Received&& message) { p.post([&p, message = std::move(message)] { p.received(message); }); });
  const std::vector<std::string> filters = filters_of(settings.sources);
  BOOST_OUTCOME_TRY(former_filters, SubscriptionLog(p.database).remember(filters));
  p.link = std::make_unique<MqttLink>(
      settings.mqtt, password, filters,
      LinkHandlers{[&p](const Message& message, const std::stop_token&) { return p.receiver->take(message); },
                   [&p](const LinkEvent& event) {
                     if (event.kind == LinkEvent::Kind::connected) {
                       p.receiver->connected(event.session_present);
                     }
                     p.post([&p, event] { p.link_event(event); });
                   }},
      p.clock(), std::move(former_filters));
  p.delivery = std::make_unique<Delivery>(
      p.database, p.system_clock,
      Scheduling{[&loop](std::function<void()> work) { loop.post(std::move(work)); },
                 [&loop](Duration pause, std::function<void()> work) { loop.after(pause, std::move(work)); }},
      [random = std::mt19937(std::random_device{}())]() mutable {
        return std::uniform_real_distribution<double>(0.0, 1.0)(random);
      },
      p.channels());
  BOOST_OUTCOME_TRY(control, HttpServer::listen(loop.io(), settings.control.socket, settings.control.mode,
                                                [&p](const HttpRequest& request) {
                                                  return respond(request, p.cellar, p.settings.display);
                                                }));
  p.control = std::move(control);
  if (settings.sources.empty()) {
    spdlog::warn("no source is configured: `gylekeeper listen` shows what arrives and proposes one");
  }
  BOOST_OUTCOME_TRY(p.link->start());
  p.delivery->wake();
  p.repeat_tick();
  return std::unique_ptr<Service>(new Service(std::move(parts)));
}

Service::Service(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}

Service::~Service() {
  if (parts_) static_cast<void>(stop());
}

Status Service::stop() {
  parts_->control.reset();
  parts_->delivery.reset();
  parts_->stopping.request_stop();
  if (const auto stopped = parts_->link->stop(); !stopped) {
    // A thread of the link's is inside the receiver still, and stays there until the process ends.
    static_cast<void>(parts_.release());
    return stopped.error();
  }
  parts_.reset();
  return success();
}

Result<std::string> broker_password(const MqttSettings& settings, const std::filesystem::path& credentials) {
  std::filesystem::path file = settings.password_file;
  std::error_code ignored;
  if (file.empty() && !credentials.empty() &&
      std::filesystem::exists(credentials / "mqtt-password", ignored)) {
    file = credentials / "mqtt-password";
  }
  if (file.empty()) return std::string();
  if (file.is_relative() && !credentials.empty()) file = credentials / file;
  BOOST_OUTCOME_TRY(password, read_file(file));
  while (!password.empty() && (password.back() == '\n' || password.back() == '\r')) password.pop_back();
  return password;
}

}  // namespace gyle
