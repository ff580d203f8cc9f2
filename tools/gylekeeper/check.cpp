#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "app/channels.h"
#include "app/configuration_check.h"
#include "app/probes.h"
#include "channel_trial.h"
#include "check_probes.h"
#include "clock/system_clock.h"
#include "config/read_file.h"
#include "config/settings_file.h"
#include "database_option.h"
#include "storage/backup.h"
#include "storage/calibration_store.h"
#include "storage/journal.h"
#include "tool_settings.h"
#include "verbs.h"
#include "wording/check_lines.h"

namespace gyle {
namespace {

struct CheckOptions {
  std::optional<std::filesystem::path> database;
  bool send = false;
};

// An error's message as a sentence.
std::string sentence(const std::string& message) {
  return message + (message.ends_with('.') || message.ends_with('?') ? "" : ".");
}

// Everything that is looked at, one part after the other. What the daemon sees itself comes from it; what it
// cannot see, or while it does not run, the tool looks at.
class Check {
 public:
  Check(const CheckOptions& options, const CommonOptions& common) : options_(options), common_(common) {}

  std::vector<CheckLine> run() && {
    if (!configuration()) return std::move(lines_);
    daemon();
    broker();
    database();
    clock();
    for (const ChannelSettings& channel : settings_.alerts.channels) look_at(channel);
    add(page_lines(probe_page(settings_.page), settings_.display, now_));
    if (!runs_) sensors();
    return std::move(lines_);
  }

 private:
  void add(std::vector<CheckLine> more) {
    lines_.insert(lines_.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
  }
  void add(const char* part, Verdict verdict, std::string text, std::string to_do = "") {
    lines_.push_back({part, verdict, std::move(text), std::move(to_do)});
  }

  // Removes what the tool has seen better than the daemon.
  void drop(const char* part, const std::string& beginning = "") {
    std::erase_if(lines_, [&](const CheckLine& line) {
      return line.part == part && line.verdict != Verdict::wrong && line.text.starts_with(beginning);
    });
  }

  // false: nothing else can be looked at.
  bool configuration() {
    constexpr const char* kPart = "configuration";
    const std::filesystem::path file = common_.config.value_or("/etc/gylekeeper/gylekeeper.toml");
    const auto text = read_file(file);
    if (!text) {
      add(kPart, common_.config ? Verdict::wrong : Verdict::look, sentence(text.error().message),
          text.error().code == Errc::refused ? "Use sudo: what follows goes by the defaults."
                                             : "What follows goes by the defaults.");
      return !common_.config;
    }
    auto settings = parse_settings(text.value(), file.string());
    if (!settings) {
      add(kPart, Verdict::wrong, sentence(settings.error().message), "Correct that, then check again.");
      return false;
    }
    settings_ = std::move(settings.value());
    const ConfigurationCheck checked =
        check_configuration(settings_, text.value(), file.string(), CheckDepth::all);
    for (const std::string& problem : checked.problems) add(kPart, Verdict::wrong, sentence(problem));
    for (const std::string& note : checked.notes) add(kPart, Verdict::look, sentence(note));
    if (checked.problems.empty()) add(kPart, Verdict::right, fmt::format("{} is right.", file.string()));
    return true;
  }

  ControlClient client() const { return ControlClient(common_.socket.value_or(settings_.control.socket)); }

  void daemon() {
    const auto body = client().get("/v1/check");
    const auto seen = body ? read_checks(body.value()) : Result<std::vector<CheckLine>>(body.error());
    if (seen) {
      runs_ = true;
      add("daemon", Verdict::right, "It runs and answers.");
      return add(seen.value());
    }
    add("daemon", Verdict::wrong, sentence(seen.error().message),
        seen.error().code == Errc::unavailable
            ? "Start it: systemctl start gylekeeper; journalctl -u gylekeeper says why it does not run."
            : "");
  }

  void broker() {
    const auto broker = broker_settings(settings_, std::nullopt);
    if (!broker) {
      return add("broker", Verdict::look,
                 "No message was sent to itself: " + sentence(broker.error().message), "Use sudo.");
    }
    const BrokerProbe probe = probe_broker(broker.value());
    if (!runs_ || !probe.facts.trouble.empty()) add(broker_lines(probe.facts));
    if (probe.echo) lines_.push_back(echo_line(*probe.echo));
  }

  void database() {
    const std::filesystem::path file = options_.database.value_or(settings_.storage.database);
    std::error_code hidden;
    if (!std::filesystem::exists(file, hidden)) {
      if (runs_ && !options_.database) return;  // in a folder that is not ours to read
      return add("database", options_.database ? Verdict::wrong : Verdict::look,
                 fmt::format("{} is not there, or not yours to see.", file.string()),
                 "The daemon makes it when it first starts; use sudo to look into its folder.");
    }
    DatabaseFacts facts = database_facts(file);
    if (const auto found = check_database_file(file)) {
      facts.holds = summary_words(found.value());
    } else if (::access(file.c_str(), R_OK) != 0) {
      return add("database", Verdict::look, fmt::format("{} is not yours to read.", file.string()),
                 "Use sudo.");
    } else {
      facts.trouble = found.error().message;
    }
    drop("database");
    add(database_lines(facts));
  }

  void clock() {
    const ClockFacts facts = clock_facts();
    if (facts.synchronised || !runs_) {
      std::erase_if(lines_, [](const CheckLine& line) { return line.part == "clock"; });
      lines_.push_back(clock_line(facts));
    }
  }

  void look_at(const ChannelSettings& channel) {
    ChannelFacts facts;
    facts.name = channel.name;
    facts.kind = kind_of(channel);
    if (options_.send && runs_) {
      const auto trial = try_channel(client(), channel.name);
      facts.tested = trial && trial.value().delivered();
      facts.trouble = trial ? trial.value().trouble() : trial.error().message;
    } else if (const auto usable = check_channels({channel}, SystemClock()); !usable) {
      // Its secrets may be the daemon's only; configuration() has reported the rest.
      if (runs_) return;
      facts.trouble = usable.error().message;
    } else if (const auto reached = reach_server(channel)) {
      facts.reached = reached.value();
      if (!facts.reached && runs_) return;
    } else {
      facts.trouble = reached.error().message;
    }
    const std::string beginning = fmt::format("{} ({}): ", facts.name, facts.kind);
    drop("channel", beginning);
    lines_.push_back(channel_line(facts));
  }

  // As far as the database shows, while the daemon does not run.
  void sensors() {
    std::vector<SensorFacts> all;
    for (const Vessel& vessel : settings_.vessels) {
      for (const std::string& sensor : vessel.sensors) {
        all.emplace_back();
        all.back().sensor = sensor;
        all.back().vessel = vessel.name;
      }
    }
    if (const auto read = read_sensors(all); !read) {
      return add("sensors", Verdict::look,
                 "What was heard cannot be read: " + sentence(read.error().message));
    }
    add(sensor_check_lines(all, settings_.vessels.size(), settings_.display, now_));
  }

  Status read_sensors(std::vector<SensorFacts>& all) const {
    const std::filesystem::path file = options_.database.value_or(settings_.storage.database);
    std::error_code hidden;
    if (!std::filesystem::exists(file, hidden)) return success();
    BOOST_OUTCOME_TRY(database, Database::open_for_reading(file));
    Journal journal(database);
    CalibrationStore calibrations(database);
    BOOST_OUTCOME_TRY(rows, journal.newest_of_each());
    BOOST_OUTCOME_TRY(refusals, journal.recent_refusals(1000));
    for (SensorFacts& facts : all) {
      for (const JournalRow& row : rows) {
        if (row.reading.sensor != facts.sensor) continue;
        facts.heard = std::max(facts.heard.value_or(row.reading.time), row.reading.time);
        facts.inclination = facts.inclination || row.reading.quantity == Quantity::inclination;
        facts.gravity = facts.gravity || row.reading.quantity == Quantity::gravity;
      }
      const auto refused = std::find_if(refusals.begin(), refusals.end(),
                                        [&](const RefusalRow& row) { return row.sensor == facts.sensor; });
      if (refused != refusals.end()) {
        facts.refused = refused->received;
        facts.refusal = refused->detail;
      }
      BOOST_OUTCOME_TRY(made, calibrations.of(facts.sensor));
      if (!made.empty() && made.front().fit) facts.calibrated = made.front().made;
    }
    return success();
  }

  const CheckOptions& options_;
  const CommonOptions& common_;
  const Time now_ = SystemClock().now();
  Settings settings_;
  bool runs_ = false;  // the daemon
  std::vector<CheckLine> lines_;
};

Exit run_check(const CheckOptions& options, const CommonOptions& common) {
  const std::vector<CheckLine> lines = Check(options, common).run();
  const bool right = !any_wrong(lines);
  if (common.json) {
    using Json = nlohmann::ordered_json;
    Json checks = Json::array();
    for (const CheckLine& line : lines) {
      Json one{{"part", line.part}, {"verdict", name(line.verdict)}, {"text", line.text}};
      if (!line.to_do.empty()) one["to_do"] = line.to_do;
      checks.push_back(std::move(one));
    }
    const Json json{{"right", right}, {"checks", std::move(checks)}};
    fmt::print("{}\n", json.dump(-1, ' ', false, Json::error_handler_t::replace));
  } else {
    for (const std::string& line : check_lines(lines)) fmt::print("{}\n", line);
  }
  return right ? Exit::ok : Exit::failed;
}

}  // namespace

Verb check_verb() {
  const auto o = std::make_shared<CheckOptions>();
  return {
      .name = "check",
      .about = "look at everything the watch depends on, and say what is wrong and what to do",
      .arguments = {database_argument(o->database),
                    {.name = "--send",
                     .place = &o->send,
                     .about = "also send a test through every channel, as `gylekeeper alert-test` does"}},
      .notes =
          "One line each: configuration, daemon, broker (with a message that it sends to itself), database "
          "(read whole) and its disk, clock, channels, page, sensors and their calibrations. \"look\": it "
          "cannot be seen, or is worth a look; \"wrong\": the watch does not work, or will not; then the "
          "exit code is 1.\n\n"
          "It needs permission to read the configuration, the secrets and the database, as with sudo; "
          "without it, it says what it could not see. Without the daemon it looks at what it can itself. "
          "When the database is damaged, `gylekeeper restore` puts a backup in its place, `gylekeeper "
          "salvage` saves what can still be read. Nothing is changed.",
      .examples = {"gylekeeper check", "gylekeeper check --send"},
      .run = [o](const CommonOptions& common) { return run_check(*o, common); }};
}

}  // namespace gyle
