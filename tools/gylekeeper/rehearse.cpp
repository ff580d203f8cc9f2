#include "rehearsal/rehearsal.h"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <condition_variable>
#include <cstdio>
#include <limits>
#include <mutex>
#include <thread>

#include "base/rfc3339.h"
#include "broker_settings.h"
#include "clock/local_time.h"
#include "clock/system_clock.h"
#include "config/batch_file.h"
#include "hold_text.h"
#include "mqtt/link.h"
#include "output_file.h"
#include "rehearsal/scenario.h"
#include "reports/csv.h"
#include "senml_pack.h"
#include "tool_settings.h"
#include "units/quantity_text.h"
#include "verbs.h"

namespace gyle {
namespace {

struct RehearseOptions {
  std::string scenario = scenario_names().front();
  std::uint64_t seed = 1;
  std::string speed_text = "1";
  double speed = 1.0;  // times life; infinite: as fast as the broker takes it
  std::optional<std::string> interval;
  std::optional<std::string> pitched;
  std::optional<std::string> broker;
  std::string topic = "gylekeeper/rehearsal";
  std::optional<std::filesystem::path> write_batch;
  std::optional<std::filesystem::path> write_readings;
  bool dry_run = false;
  bool quiet = false;
};

using SteadyTime = std::chrono::steady_clock::time_point;

// When the batch begins unless the brewer says so: in real time, now; else so that
// its end is about now.
Result<Time> begin_of(const RehearseOptions& options, const CommonOptions& common, Time now) {
  if (options.pitched) {
    if (auto absolute = parse_rfc3339(*options.pitched)) return absolute;
    BOOST_OUTCOME_TRY(zone, brewers_time_zone(common));
    return parse_local_time(*options.pitched, now, zone, TimeSense::past);
  }
  if (options.speed == 1.0 && !options.dry_run) return std::chrono::floor<seconds>(now);
  BOOST_OUTCOME_TRY(scenario, scenario_named(options.scenario));
  // To the hour, so that two runs one after the other are of the same batch.
  return std::chrono::floor<hours>(now - scenario.lasts);
}

Result<Rehearsal> made_up(const RehearseOptions& options, const CommonOptions& common, Time now) {
  RehearsalOptions made;
  made.scenario = options.scenario;
  made.seed = options.seed;
  BOOST_OUTCOME_TRY(pitched, begin_of(options, common, now));
  made.pitched = pitched;
  if (options.interval) {
    BOOST_OUTCOME_TRY(interval, parse_duration(*options.interval));
    made.interval = interval;
  }
  return rehearse(made);
}

std::string readings_csv(const Rehearsal& rehearsal) {
  std::string csv = csv_record({"time", "sensor", "quantity", "value"});
  for (const RehearsedMessage& message : rehearsal.messages) {
    for (const Reading& reading : message.readings) {
      csv += csv_record({format_rfc3339(reading.time), reading.sensor, name(reading.quantity),
                         fmt::format("{}", reading.value)});
    }
  }
  return csv;
}

// Counts what is under way, so that memory stays bounded and the end waits for the last acknowledgement.
class Underway {
 public:
  static constexpr std::size_t kMost = 200;

  void add() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return count_ < kMost; });
    ++count_;
  }
  void done(const Status& status) {
    const std::lock_guard lock(mutex_);
    --count_;
    if (!status && first_failure_.empty()) first_failure_ = status.error().message;
    changed_.notify_all();
  }
  // Empty when everything was acknowledged.
  std::string wait_for_all() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return count_ == 0; });
    return first_failure_;
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::size_t count_ = 0;
  std::string first_failure_;
};

// Whether the broker has been reached, for those who wait for it.
class Reached {
 public:
  void hear(const LinkEvent& event) {
    const std::lock_guard lock(mutex_);
    connected_ = connected_ || event.kind == LinkEvent::Kind::connected;
    if (event.kind == LinkEvent::Kind::refused) reason_ = event.text;
    changed_.notify_all();
  }
  Status wait(std::chrono::seconds patience) {
    std::unique_lock lock(mutex_);
    if (changed_.wait_for(lock, patience, [this] { return connected_; })) return success();
    return fail(Errc::refused, reason_.empty() ? "the broker does not answer" : reason_);
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  bool connected_ = false;
  std::string reason_;
};

// When a message is due: its place in the batch, at the wanted speed.
SteadyTime due(const RehearsedMessage& message, const Rehearsal& rehearsal, double speed, SteadyTime start) {
  const double wait_s = in_seconds(message.delivered - rehearsal.spec.pitched) / speed;
  return start + std::chrono::duration_cast<SteadyTime::duration>(std::chrono::duration<double>(wait_s));
}

Exit publish(const Rehearsal& rehearsal, const RehearseOptions& options, const CommonOptions& common) {
  const auto settings = tool_settings(common);
  if (!settings) return complain(settings.error(), Exit::wrong_use);
  const auto broker = broker_settings(settings.value(), options.broker);
  if (!broker) return complain(broker.error(), Exit::wrong_use);

  const SystemClock clock;
  Reached reached;
  Underway underway;
  LinkHandlers handlers;
  handlers.on_message = [](const Message&, std::stop_token) -> Status { return success(); };
  handlers.on_event = [&](const LinkEvent& event) {
    reached.hear(event);
    if (event.kind == LinkEvent::Kind::lost) fmt::print(stderr, "gylekeeper: {}\n", event.text);
  };
  MqttLink link(broker.value().settings, broker.value().password, {}, std::move(handlers), clock);
  if (const auto started = link.start(); !started) return complain(started.error(), Exit::wrong_use);
  if (const auto there = reached.wait(seconds(5)); !there) return complain(there.error());

  constexpr auto kProgressEvery = std::chrono::seconds(5);
  const std::size_t total = rehearsal.messages.size();
  const SteadyTime start = std::chrono::steady_clock::now();
  SteadyTime shown = start;
  for (std::size_t i = 0; i < total; ++i) {
    const RehearsedMessage& message = rehearsal.messages[i];
    std::this_thread::sleep_until(due(message, rehearsal, options.speed, start));
    underway.add();
    link.publish(options.topic + "/" + message.sensor, senml_pack(message), false,
                 [&underway](Status status) { underway.done(status); });
    if (options.quiet || std::chrono::steady_clock::now() - shown < kProgressEvery) continue;
    shown = std::chrono::steady_clock::now();
    fmt::print("day {:.0f}, {} of {} messages\n",
               std::floor(in_days(message.delivered - rehearsal.spec.pitched)) + 1, i + 1, total);
    std::fflush(stdout);
  }
  const std::string failure = underway.wait_for_all();
  (void)link.stop();
  if (!failure.empty()) return complain(Error{Errc::refused, failure});
  if (common.json) {
    fmt::print("{{\"messages\": {}, \"pitched\": \"{}\"}}\n", total, format_rfc3339(rehearsal.spec.pitched));
  } else if (!options.quiet) {
    fmt::print("{} messages, all acknowledged by the broker\n", total);
  }
  return Exit::ok;
}

std::string wrong_speed(const std::string& text) {
  const auto speed = parse_number(text);
  const bool right = text == "max" || (speed && speed.value() >= 0.001 && speed.value() <= 1e9);
  return right ? "" : "must be a number from 0.001 to 1e9, or max";
}

Exit run_rehearse(RehearseOptions options, const CommonOptions& common) {
  options.speed = options.speed_text == "max" ? std::numeric_limits<double>::infinity()
                                              : parse_number(options.speed_text).value();
  options.quiet = options.quiet || common.json;
  const auto rehearsal = made_up(options, common, SystemClock().now());
  if (!rehearsal) return complain(rehearsal.error(), Exit::wrong_use);
  if (options.write_batch) {
    const auto written = write_file(*options.write_batch, format_batch(rehearsal.value().spec));
    if (!written) return complain(written.error());
  }
  if (options.write_readings) {
    const auto written = write_file(*options.write_readings, readings_csv(rehearsal.value()));
    if (!written) return complain(written.error());
  }
  if (options.dry_run) return Exit::ok;
  if (!options.quiet) {
    fmt::print("{}: {} messages from {} on, to {}/<sensor>\n", rehearsal.value().spec.name,
               rehearsal.value().messages.size(), format_rfc3339(rehearsal.value().spec.pitched),
               options.topic);
    std::fflush(stdout);
  }
  return publish(rehearsal.value(), options, common);
}

}  // namespace

Verb rehearse_verb() {
  const auto o = std::make_shared<RehearseOptions>();
  return {
      .name = "rehearse",
      .about = "publish the readings of a simulated batch",
      .arguments = {{.name = "--scenario",
                     .place = &o->scenario,
                     .about = "which kind of batch",
                     .choices = scenario_names()},
                    {.name = "--seed",
                     .place = &o->seed,
                     .about = "another seed, another batch of the same scenario; 1 when not given",
                     .check = whole_number(0, UINT64_MAX)},
                    {.name = "--speed",
                     .place = &o->speed_text,
                     .about = "how many times faster than life, or max; 1 when not given",
                     .value = "NUMBER|max",
                     .check = wrong_speed},
                    {.name = "--interval",
                     .place = &o->interval,
                     .about = "between the messages of a sensor, as \"15 min\"",
                     .value = "TIME"},
                    {.name = "--pitched",
                     .place = &o->pitched,
                     .about = "when the batch begins, as \"2026-03-01 18:30\"; when not given, now, or at "
                              "another speed, so that it ends about now",
                     .value = "TIME"},
                    {.name = "--broker",
                     .place = &o->broker,
                     .about = "mqtt://HOST:PORT; the configured one when not given",
                     .value = "ADDRESS"},
                    {.name = "--topic",
                     .place = &o->topic,
                     .about = "published to TOPIC/<sensor>; gylekeeper/rehearsal when not given"},
                    {.name = "--write-batch",
                     .place = &o->write_batch,
                     .about = "write the matching BATCH.toml to this file",
                     .offer = Offer::files},
                    {.name = "--write-readings",
                     .place = &o->write_readings,
                     .about = "write the readings to this file, as READINGS.csv",
                     .offer = Offer::files},
                    {.name = "--dry-run", .place = &o->dry_run, .about = "write the files, publish nothing"},
                    {.name = "--quiet", .place = &o->quiet, .about = "print nothing while it goes well"}},
      .notes = kTimes,
      .examples = {"gylekeeper rehearse --scenario stuck --speed 5000"},
      .run = [o](const CommonOptions& common) { return run_rehearse(*o, common); }};
}

}  // namespace gyle
