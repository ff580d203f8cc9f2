#include <spdlog/spdlog.h>

#include <CLI/CLI.hpp>

#include "app/channels.h"
#include "app/logging.h"
#include "app/service.h"
#include "app/systemd_notify.h"
#include "clock/system_clock.h"
#include "config/settings_file.h"

namespace {

constexpr int kFailed = 1;
constexpr int kWrongConfiguration = 2;

struct Arguments {
  std::string config = "/etc/gylekeeper/gylekeeper.toml";
  bool check = false;
  bool clock_follows_messages = false;
  bool thermostats_follow = false;
};

gyle::Status restart(std::unique_ptr<gyle::Service>& service, gyle::EventLoop& loop,
                     const gyle::Settings& settings, const gyle::ServiceOptions& options) {
  BOOST_OUTCOME_TRY(service->stop());
  service.reset();
  BOOST_OUTCOME_TRY(again, gyle::Service::start(loop, settings, options));
  service = std::move(again);
  return gyle::success();
}

// The configuration, if a service can be started by it.
gyle::Result<gyle::Settings> usable_settings(const std::string& file) {
  BOOST_OUTCOME_TRY(settings, gyle::load_settings(file));
  if (const auto usable = gyle::check_lines(settings.alerts.channels, gyle::SystemClock()); !usable) {
    return gyle::fail(usable.error().code, file + ": " + usable.error().message);
  }
  return settings;
}

int run(const Arguments& arguments) {
  auto settings = usable_settings(arguments.config);
  if (!settings) {
    spdlog::error("{}", settings.error().message);
    return kWrongConfiguration;
  }
  if (arguments.check) {
    spdlog::info("{} is right", arguments.config);
    return 0;
  }
  gyle::EventLoop loop;
  const gyle::ServiceOptions options{arguments.clock_follows_messages, arguments.thermostats_follow};
  auto started = gyle::Service::start(loop, settings.value(), options);
  if (!started) {
    spdlog::error("{}", started.error().message);
    // What another process holds is not freed by trying again.
    return started.error().code == gyle::Errc::conflict ? kWrongConfiguration : kFailed;
  }
  std::unique_ptr<gyle::Service> service = std::move(started.value());

  int outcome = 0;
  loop.handle_signals([&] {
    gyle::systemd::reloading();
    auto changed = usable_settings(arguments.config);
    if (!changed) {
      spdlog::error("{}; the running configuration stays", changed.error().message);
    } else if (const auto again = restart(service, loop, changed.value(), options); again) {
      spdlog::info("the configuration has been read again");
    } else {
      spdlog::error("{}", again.error().message);
      outcome = kFailed;
      loop.stop();
      return;
    }
    gyle::systemd::ready();
  });
  if (const auto interval = gyle::systemd::watchdog_interval()) {
    loop.every(*interval, gyle::systemd::feed_watchdog);
  }
  gyle::systemd::ready();
  spdlog::info("gylekeeperd {} watches", GYLE_VERSION);
  const int signal = loop.run();
  gyle::systemd::stopping();
  if (signal != 0) spdlog::info("ended by signal {}", signal);
  if (service) {
    if (const auto stopped = service->stop(); !stopped) spdlog::warn("{}", stopped.error().message);
  }
  return outcome;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Keeps watch over fermenting beer: reads sensors over MQTT, tells the brewer what to do."};
  Arguments arguments;
  app.add_option("--config", arguments.config, "the configuration file")->capture_default_str();
  app.add_flag("--check", arguments.check, "read the configuration, say what is wrong with it, and end");
  app.add_flag("--clock-follows-messages", arguments.clock_follows_messages,
               "for rehearsals: the time is that of the newest message");
  app.add_flag("--thermostats-follow", arguments.thermostats_follow,
               "with it: thermostats are asked in the rehearsal, too; never where a real one listens")
      ->needs("--clock-follows-messages");
  app.set_version_flag("--version", GYLE_VERSION);
  CLI11_PARSE(app, argc, argv);
  gyle::start_logging();
  return run(arguments);
}
