#include "app/service.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdlib>
#include <random>

#include "alerts/delivery.h"
#include "app/announcer.h"
#include "app/batch_picture.h"
#include "app/broker_state.h"
#include "app/change_notice.h"
#include "app/channels.h"
#include "app/daemon_cellar.h"
#include "app/homie_link.h"
#include "app/page_server.h"
#include "app/past_reader.h"
#include "app/probes.h"
#include "app/receiver.h"
#include "app/self_reporter.h"
#include "app/set_points.h"
#include "app/systemd_notify.h"
#include "app/watch.h"
#include "clock/message_clock.h"
#include "clock/system_clock.h"
#include "config/read_file.h"
#include "control/event_hub.h"
#include "control/http_server.h"
#include "control/routes.h"
#include "mqtt/link.h"
#include "notices/quiet_hours.h"
#include "storage/database_lock.h"
#include "storage/subscription_log.h"
#include "web/calendar.h"
#include "web/metrics.h"
#include "web/vessels_page.h"

namespace gyle {
namespace {

constexpr Duration kTickPeriod = seconds(10);
constexpr Duration kRemindPeriod = minutes(1);
constexpr Duration kHomiePeriod = seconds(10);
constexpr Duration kThermostatPeriod = seconds(10);
constexpr Duration kDigestUseful = hours(2);  // yesterday's digest is no news
// A tick is for a moment a little ago, so that all readings that arrived before it have been taken.
constexpr Duration kTickLag = seconds(5);
std::vector<std::string> filters_of(const std::vector<Source>& sources) {
  std::vector<std::string> filters;
  filters.reserve(sources.size());
  for (const Source& source : sources) filters.push_back(source.filter);
  return filters;
}

// A rehearsal asks no thermostat for anything unless it is meant to.
Settings settings_for(Settings settings, const ServiceOptions& options) {
  if (!options.clock_follows_messages || options.thermostats_follow) return settings;
  for (Vessel& vessel : settings.vessels) {
    if (!vessel.set_point) continue;
    spdlog::info("the clock follows messages: the thermostat of {} is asked for nothing", vessel.name);
    vessel.set_point.reset();
  }
  return settings;
}

}  // namespace

struct Service::Parts {
  Parts(EventLoop& loop_in, Settings settings_in, DatabaseLock lock_in, Database database_in,
        const ServiceOptions& options)
      : loop(loop_in),
        settings(std::move(settings_in)),
        lock(std::move(lock_in)),
        database(std::move(database_in)),
        follows(options.clock_follows_messages),
        routing(settings.alerts.channels, settings.alerts.severities),
        watch(database, routing, [this] { wake(); }),
        announcer(database, routing, [this] { wake(); }),
        cellar(watch, announcer, routing, database, clock(), system_clock.now(), settings.mqtt.broker),
        set_points(database, watch, clock(),
                   {[this](std::string topic, std::string payload, bool retained, auto done) {
                      link->publish(std::move(topic), std::move(payload), retained,
                                    [this, done = std::move(done)](const Status& status) {
                                      post([this, done, status] {
                                        done(status);
                                        notice.changed();
                                      });
                                    });
                    },
                    [this] {
                      return follows ? broker.connected() && clock().now() != Time{}
                                     : broker.caught_up(system_clock.now());
                    }}),
        self(database, announcer, routing, system_clock, settings.storage.database, settings.display,
             {[this](const std::string& trouble) {
                cellar.database_trouble(trouble);
                notice.changed();
              },
              [this](const Announcer::Unstored& alert) { send_unstored(alert); },
              [this] {
                if (delivery) delivery->drop_unstored();
              }},
             options.clock_patience),
        notice(hub, clock(),
               {[this](Duration pause, std::function<void()> work) { later(pause, std::move(work)); },
                [this](const std::set<std::string>& vessels) { return batches_in(vessels); }}) {}

  const Clock& clock() const { return follows ? static_cast<const Clock&>(message_clock) : system_clock; }

  void wake() {
    if (delivery) delivery->wake();
    notice.changed();
  }

  // Of all vessels when none is named.
  std::vector<std::int64_t> batches_in(const std::set<std::string>& vessels) const {
    std::vector<std::int64_t> ids;
    for (const BatchRecord& record : cellar.open_batches()) {
      if (vessels.empty() || vessels.contains(record.vessel)) ids.push_back(record.id);
    }
    return ids;
  }

  HttpResponse answer(const HttpRequest& request) {
    if (request.target == "/v1/events" && request.method == "GET") {
      return {.content_type = "text/event-stream", .body = "retry: 2000\n\n", .event_stream = true};
    }
    const HttpResponse later{.body = "", .later = [this](std::function<void()> again) {
                               watch.ended().when_read(std::move(again));
                             }};
    static_cast<void>(watch.ended().was_missing());  // to others, who do not wait
    const bool changes = request.method != "GET";
    // A change is not made twice: all that it may need of the past is read before.
    if (changes) static_cast<void>(cellar.batches());
    if (watch.ended().was_missing()) return later;
    watch.show_only_corrected(!changes);
    HttpResponse response = respond(request, cellar, settings.display);
    watch.show_only_corrected(false);
    if (watch.ended().was_missing()) return later;
    if (request.method != "GET" && response.status < 300) notice.changed();
    return response;
  }

  // Without its page the watch goes on.
  void open_page() {
    if (!settings.page.enabled) return;
    auto served = serve_page(
        loop.io(), settings.page,
        {.control = [this](const HttpRequest& request) { return answer(request); },
         .calendar =
             [this] {
               return HttpResponse{.content_type = kCalendarType,
                                   .body = calendar_text(cellar, settings.display)};
             },
         .metrics =
             [this] { return HttpResponse{.content_type = kMetricsType, .body = metrics_text(cellar)}; },
         .vessels = [this] { return vessels_answer(cellar, settings.display); },
         .assets = page_assets()},
        system_clock, hub);
    if (!served) {
      spdlog::error("there is no page: {}; the watch goes on without it", served.error().message);
      return;
    }
    page = std::move(served).value();
    spdlog::info("the page is at {}", settings.page.url());
  }

  // What other threads post may come after the end: it then finds `alive` gone, which goes with the parts,
  // when no other thread is left to look.
  void post(std::function<void()> work) {
    loop.post([alive = std::weak_ptr<int>(alive), work = std::move(work)] {
      if (!alive.expired()) work();
    });
  }

  void received(const Received& message) {
    if (follows) message_clock.observe(message.received);
    cellar.message_received(message.received);
    if (message.backlog) broker.backlog(system_clock.now());
    for (const JournalRow& row : message.rows) {
      cellar.heard(row);
      watch.take(row);
      tell_of(row.reading.sensor);
    }
    if (message.refused > 0) notice.changed();
    if (follows) follow();
  }

  // In a rehearsal time goes on with the messages, and timed alerts follow that time.
  void follow() {
    ask_thermostats();
    const Time now = clock().now();
    if (now - followed < kRemindPeriod) return;
    followed = now;
    send_digest();
    wake();  // a quiet night may be over
  }

  void tell_of(const std::string& sensor) {
    bool placed = false;
    for (const Vessel& vessel : settings.vessels) {
      for (const std::string& own : vessel.sensors) {
        if (own != sensor) continue;
        placed = true;
        notice.changed_in(vessel.name);
      }
    }
    if (!placed) notice.changed();  // the list of sensors has changed
  }

  void link_event(const LinkEvent& event) {
    broker.take(event, system_clock.now());
    if (event.kind == LinkEvent::Kind::connected) {
      spdlog::info("connected to the broker {}", settings.mqtt.broker);
    } else {
      spdlog::warn("{}", event.text);
    }
    cellar.broker_connected(broker.connected());
    notice.changed();
    systemd::status(broker.connected() ? "watching; connected to the broker" : "no connection to the broker");
  }

  SelfFacts self_facts() const {
    SelfFacts facts;
    facts.broker = broker.facts(settings.mqtt.session_expiry);
    facts.database = database_facts(settings.storage.database);
    facts.clock = clock_facts();
    return facts;
  }

  void tick() {
    if (follows || !broker.caught_up(system_clock.now())) return;
    watch.tick(clock().now() - kTickLag);
  }

  void send_unstored(const Announcer::Unstored& alert) {
    if (!delivery) return;
    delivery->send_unstored(alert.notice, alert.channels,
                            [this, id = alert.notice.id](const std::string& channel) {
                              announcer.arrived_unstored(id, channel);
                            });
  }

  // A rehearsal reports nothing about the daemon itself.
  void look_at_self() {
    if (!follows) self.look(broker.connected());
  }

  Status begin_run() {
    if (follows) return Outbox(database).keep_only(routing.names(), system_clock.now());
    auto begun = self.begin(lock.database_gone());
    if (begun || !begun.error().worth_retrying()) return begun;
    // On a full disk the daemon runs, so that the channels hear of it; the start is stored when there is room.
    spdlog::error("{}; it is tried again", begun.error().message);
    return success();
  }

  void send_digest() {
    const Time now = clock().now();
    if (!settings.alerts.digest || now == Time{}) return;
    const Time day = last_time_of_day(*settings.alerts.digest, now, settings.display.time_zone);
    if (now - day > kDigestUseful) return;
    std::vector<DigestEntry> entries;
    for (const BatchRecord& record : cellar.open_batches()) {
      if (record.unreadable.empty()) entries.push_back({record.vessel, record.spec, record.view});
    }
    announcer.digest(entries, day, now, settings.display);
  }

  void later(Duration pause, std::function<void()> work) {
    loop.after(pause, [work = std::move(work), alive_now = std::weak_ptr<int>(alive)] {
      if (!alive_now.expired()) work();
    });
  }

  void repeat(Duration period, void (Parts::*work)()) {
    later(period, [this, period, work] {
      (this->*work)();
      repeat(period, work);
    });
  }

  void remind() {
    announcer.remind(clock().now());
    send_digest();
    wake();  // a quiet night may be over
  }

  void beat() { link->beat(); }

  void ask_thermostats() {
    const auto asked = [](const Vessel& vessel) { return vessel.set_point.has_value(); };
    if (std::any_of(settings.vessels.begin(), settings.vessels.end(), asked))
      set_points.look(cellar.open_batches());
  }

  void update_homie() { homie->update(cellar, settings.display); }

  EventLoop& loop;
  const Settings settings;
  const DatabaseLock lock;  // given back after everything else
  Database database;
  const bool follows;
  SystemClock system_clock;
  MessageClock receiver_clock;  // of the newest message in the journal
  MessageClock message_clock;   // of the newest that has come here, which may be a while behind
  std::stop_source stopping;
  const AlertRouting routing;
  Watch watch;
  Announcer announcer;
  DaemonCellar cellar;
  SetPoints set_points;
  BrokerState broker;
  SelfReporter self;
  EventHub hub;
  ChangeNotice notice;
  std::unique_ptr<PastReader> past_reader;
  std::unique_ptr<Receiver> receiver;
  std::unique_ptr<MqttLink> link;
  std::unique_ptr<HomieLink> homie;  // where it is wanted
  std::unique_ptr<Delivery> delivery;
  std::unique_ptr<HttpServer> control;
  std::unique_ptr<HttpServer> page;
  Time followed{};  // by the messages' clock
  const std::shared_ptr<int> alive = std::make_shared<int>();
};

Result<std::unique_ptr<Service>> Service::start(EventLoop& loop, const Settings& given,
                                                const ServiceOptions& options) {
  const Settings settings = settings_for(given, options);
  const char* const credentials = std::getenv("CREDENTIALS_DIRECTORY");
  BOOST_OUTCOME_TRY(password, broker_password(settings.mqtt, credentials == nullptr ? "" : credentials));
  BOOST_OUTCOME_TRY(lock, DatabaseLock::take(settings.storage.database));
  if (lock.database_gone()) {
    spdlog::error(
        "the database {} is gone; a new one is begun. If you did not delete it, stop gylekeeperd and "
        "put it back, or use `gylekeeper restore` with a backup",
        settings.storage.database.string());
  }
  BOOST_OUTCOME_TRY(database, Database::open(settings.storage.database));
  auto parts = std::make_unique<Parts>(loop, settings, std::move(lock), std::move(database), options);
  Parts& p = *parts;
  p.self.check_database();

  BOOST_OUTCOME_TRY(p.watch.configure(settings.vessels, settings.display));
  p.cellar.use(p.set_points);
  p.cellar.look_at_self_by([&p] { return p.self_facts(); });
  if (const auto heard = p.cellar.open(); !heard) {
    if (!p.self.damaged()) return heard.error();
    spdlog::error("{}", heard.error().message);
  }
  BOOST_OUTCOME_TRY(p.watch.open(p.self.damaged()));
  p.past_reader = std::make_unique<PastReader>(settings.storage.database,
                                               [&p](std::function<void()> work) { p.post(std::move(work)); });
  p.watch.ended().read_by(*p.past_reader);

  BOOST_OUTCOME_TRY(receiving, Database::open(settings.storage.database, p.stopping.get_token()));
  p.receiver = std::make_unique<Receiver>(
      std::move(receiving), settings.storage.refusals_kept, settings.ingest.readings_per_hour,
      settings.sources, p.follows ? &p.receiver_clock : nullptr,
      Receiver::Handlers{
          [&p](Received&& message) { p.post([&p, message = std::move(message)] { p.received(message); }); },
          [&p](const std::string& trouble) { p.post([&p, trouble] { p.self.messages_trouble(trouble); }); },
          [&p] {
            p.post([&p] {
              if (!p.follows) p.self.message_unstorable();
            });
          },
          [&p](std::optional<Time> shown) {
            p.post([&p, shown] {
              p.self.clock_shown(shown);
              p.look_at_self();
            });
          }});
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
  BOOST_OUTCOME_TRY(channels,
                    make_channels(settings.alerts.channels, settings.display, *p.link, p.system_clock));
  p.delivery = std::make_unique<Delivery>(
      p.database, p.system_clock, p.clock(),
      Scheduling{[&loop](std::function<void()> work) { loop.post(std::move(work)); },
                 [&loop](Duration pause, std::function<void()> work) { loop.after(pause, std::move(work)); }},
      [random = std::mt19937(std::random_device{}())]() mutable {
        return std::uniform_real_distribution<double>(0.0, 1.0)(random);
      },
      std::move(channels),
      Delivery::Options{settings.alerts.calm, settings.display, [&p](std::int64_t batch) {
                          return batch_picture(p.cellar, batch, p.settings.display);
                        }});
  BOOST_OUTCOME_TRY(
      control, HttpServer::listen(
                   loop.io(), settings.control.socket, settings.control.mode,
                   [&p](const HttpRequest& request) { return p.answer(request); }, HttpLimits{}, &p.hub));
  p.control = std::move(control);
  p.open_page();
  if (settings.sources.empty()) {
    spdlog::warn("no source is configured: `gylekeeper listen` shows what arrives and proposes one");
  }
  BOOST_OUTCOME_TRY(p.link->start());
  if (settings.homie.enabled) {
    p.homie = std::make_unique<HomieLink>(settings.mqtt, settings.homie, password, p.system_clock,
                                          [&p](std::function<void()> work) { p.post(std::move(work)); });
    BOOST_OUTCOME_TRYV(p.homie->start());
    p.repeat(kHomiePeriod, &Parts::update_homie);
  }
  BOOST_OUTCOME_TRYV(p.begin_run());
  p.delivery->wake();
  p.repeat(kTickPeriod, &Parts::tick);
  p.repeat(options.look_period, &Parts::look_at_self);
  p.repeat(kRemindPeriod, &Parts::remind);
  p.repeat(kThermostatPeriod, &Parts::ask_thermostats);
  if (!settings.mqtt.heartbeat_topic.empty()) p.repeat(settings.mqtt.heartbeat, &Parts::beat);
  return std::unique_ptr<Service>(new Service(std::move(parts)));
}

Service::Service(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}

Service::~Service() {
  if (parts_) static_cast<void>(stop());
}

Status Service::stop() {
  parts_->page.reset();
  parts_->control.reset();
  parts_->delivery.reset();
  parts_->self.stop();
  if (parts_->homie) parts_->homie->stop();
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
  auto password = read_secret(file);
  // Empty when the broker needs no password.
  if (!password && password.error().code == Errc::missing) return std::string();
  return password;
}

}  // namespace gyle
