#include <fmt/ranges.h>
#include <spdlog/spdlog.h>

#include <CLI/CLI.hpp>

#include "app/configuration_check.h"
#include "app/logging.h"
#include "app/service.h"
#include "app/systemd_notify.h"
#include "config/read_file.h"
#include "config/settings_file.h"

namespace {

constexpr int kFailed = 1;
constexpr int kWrongUse = 2;  // of the command line
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

void log_lines(const std::string& text, spdlog::level::level_enum level) {
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    spdlog::log(level, "{}", std::string_view(text).substr(begin, end - begin));
    begin = end + 1;
  }
}

// The configuration, if a service can run by it.
gyle::Result<gyle::Settings> usable_settings(const std::string& file, gyle::CheckDepth depth) {
  BOOST_OUTCOME_TRY(text, gyle::read_file(file));
  BOOST_OUTCOME_TRY(settings, gyle::parse_settings(text, file));
  const gyle::ConfigurationCheck checked = gyle::check_configuration(settings, text, file, depth);
  for (const std::string& note : checked.notes) spdlog::warn("{}", note);
  if (checked.problems.empty()) return settings;
  return gyle::fail(gyle::Errc::malformed, fmt::format("{}", fmt::join(checked.problems, "\n")));
}

int run(const Arguments& arguments) {
  // The watch goes on without a page; a folder may still be mounted, and a name resolve later.
  auto settings =
      usable_settings(arguments.config, arguments.check ? gyle::CheckDepth::all : gyle::CheckDepth::needed);
  if (!settings) {
    log_lines(settings.error().message, spdlog::level::err);
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
    auto changed = usable_settings(arguments.config, gyle::CheckDepth::needed);
    if (!changed) {
      log_lines(changed.error().message, spdlog::level::err);
      spdlog::error("the running configuration stays");
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
  app.add_flag("--check", arguments.check, "check the configuration, report every problem, and end");
  app.add_flag("--clock-follows-messages", arguments.clock_follows_messages,
               "for rehearsals: the time is that of the newest message");
  app.add_flag("--thermostats-follow", arguments.thermostats_follow,
               "in such a rehearsal, also send set points to thermostats; never where a real one listens")
      ->needs("--clock-follows-messages");
  app.set_version_flag("--version", GYLE_VERSION);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& wrong) {
    return app.exit(wrong) == 0 ? 0 : kWrongUse;
  }
  gyle::start_logging();
  return run(arguments);
}
