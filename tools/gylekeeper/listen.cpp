#include <fmt/format.h>
#include <pthread.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <cstdio>

#include "broker_settings.h"
#include "clock/system_clock.h"
#include "ingest/topic_filter.h"
#include "message_lines.h"
#include "mqtt/host_name.h"
#include "mqtt/link.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct ListenOptions {
  std::vector<std::string> topics;
  std::optional<std::string> broker;
  std::optional<std::uint64_t> count;
};

bool is_of(const std::string& topic, const std::vector<std::string>& own) {
  return std::any_of(own.begin(), own.end(), [&](const std::string& prefix) {
    return !prefix.empty() && (topic == prefix || topic.starts_with(prefix + "/"));
  });
}

// Where the daemon itself publishes: no readings.
std::vector<std::string> topics_of_ours(const Settings& settings) {
  std::vector<std::string> topics{settings.mqtt.heartbeat_topic};
  for (const ChannelSettings& channel : settings.alerts.channels) {
    if (const auto* mqtt = std::get_if<MqttChannelSettings>(&channel.kind)) topics.push_back(mqtt->topic);
  }
  for (const Vessel& vessel : settings.vessels) {
    if (vessel.set_point) topics.push_back(vessel.set_point->topic);
  }
  topics.push_back(fmt::format("{}/5/{}", settings.homie.domain, settings.homie.device));
  return topics;
}

Exit run_listen(const ListenOptions& options, const CommonOptions& common) {
  const auto settings = tool_settings(common);
  if (!settings) return complain(settings.error(), Exit::wrong_use);
  const auto broker = broker_settings(settings.value(), options.broker);
  if (!broker) return complain(broker.error(), Exit::wrong_use);
  const auto own_topics = topics_of_ours(settings.value());
  const auto filters = options.topics.empty() ? std::vector<std::string>{"#"} : options.topics;
  for (const std::string& filter : filters) {
    if (const auto right = check_topic_filter(filter); !right) {
      return complain(Error{Errc::malformed, fmt::format("--topic {}: {}", filter, right.error().message)},
                      Exit::wrong_use);
    }
  }
  if (const auto known = check_host_known(broker.value().settings.broker); !known) {
    return complain(known.error(), Exit::failed);
  }

  // Ctrl-C ends the wait below instead of the process, so that the connection is closed properly.
  sigset_t end_signals;
  sigemptyset(&end_signals);
  for (const int signal : {SIGINT, SIGTERM}) sigaddset(&end_signals, signal);
  pthread_sigmask(SIG_BLOCK, &end_signals, nullptr);

  const SystemClock clock;
  MessageLines lines(settings.value().sources, settings.value().display);
  std::uint64_t received = 0;
  LinkHandlers handlers;
  handlers.on_message = [&](const Message& message, std::stop_token) -> Status {
    if (is_of(message.topic, own_topics) || (options.count && received >= *options.count)) return success();
    ++received;
    fmt::print("{}", common.json ? message_json(message, settings.value().sources) : lines.of(message));
    std::fflush(stdout);
    if (options.count && received == *options.count) ::kill(::getpid(), SIGTERM);
    return success();
  };
  std::atomic<bool> denied = false;
  handlers.on_event = [&](const LinkEvent& event) {
    fmt::print(stderr, "gylekeeper: {}\n", event.text);
    if (event.kind == LinkEvent::Kind::denied && !denied.exchange(true)) ::kill(::getpid(), SIGTERM);
  };
  MqttLink link(broker.value().settings, broker.value().password, filters, std::move(handlers), clock);
  if (const auto started = link.start(); !started) return complain(started.error(), Exit::wrong_use);
  int signal = 0;
  sigwait(&end_signals, &signal);
  (void)link.stop();
  return denied ? Exit::failed : Exit::ok;
}

}  // namespace

Verb listen_verb() {
  const auto o = std::make_shared<ListenOptions>();
  return {.name = "listen",
          .about = "show what arrives on the broker and how it is read",
          .arguments = {{.name = "--topic",
                         .place = &o->topics,
                         .about = "MQTT topic filters; every topic when not given",
                         .value = "FILTER"},
                        {.name = "--broker",
                         .place = &o->broker,
                         .about = "mqtt://HOST:PORT; the configured one when not given",
                         .value = "ADDRESS"},
                        {.name = "--count",
                         .place = &o->count,
                         .about = "stop after this many messages",
                         .check = whole_number(1, UINT64_MAX)}},
          .examples = {"gylekeeper listen --topic \"cellar/#\""},
          .run = [o](const CommonOptions& common) { return run_listen(*o, common); }};
}

}  // namespace gyle
