#include "command_line.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace gyle;

namespace {

std::variant<CommandLine, Exit> parsed(std::vector<const char*> arguments) {
  arguments.insert(arguments.begin(), "gylekeeper");
  return parse_command_line(static_cast<int>(arguments.size()), arguments.data());
}

template <class Options>
Options options_of(std::vector<const char*> arguments) {
  const auto result = parsed(std::move(arguments));
  REQUIRE(std::holds_alternative<CommandLine>(result));
  const auto& verb = std::get<CommandLine>(result).verb;
  REQUIRE(std::holds_alternative<Options>(verb));
  return std::get<Options>(verb);
}

}  // namespace

TEST_CASE("the verbs take what they need") {
  const auto pitch =
      options_of<PitchOptions>({"pitch", "--vessel", "left", "--name", "Harbour amber", "--hold",
                                "18 Cel until 75 %", "--hold", "22 Cel until final gravity"});
  CHECK(pitch.vessel == "left");
  CHECK(pitch.name == "Harbour amber");
  CHECK(pitch.holds == std::vector<std::string>{"18 Cel until 75 %", "22 Cel until final gravity"});
  CHECK_FALSE(pitch.pitched);

  CHECK(options_of<PitchOptions>({"pitch", "--vessel", "left", "--batch", "my batch.toml"}).batch_file ==
        "my batch.toml");
  CHECK(options_of<PackageOptions>({"package", "left"}).batch == "left");
  CHECK(options_of<StatusOptions>({"status"}).batch.empty());
  CHECK(options_of<StatusOptions>({"status", "left"}).batch == "left");
  CHECK(options_of<CurveOptions>({"curve", "left", "--output", "a b.csv"}).output == "a b.csv");
  CHECK(options_of<AlertsOptions>({"alerts", "--follow"}).follow);
  options_of<SensorsOptions>({"sensors"});
  CHECK(options_of<RefusalsOptions>({"refusals"}).limit == 20);
  CHECK(options_of<RefusalsOptions>({"refusals", "--limit", "5"}).limit == 5);
  CHECK(options_of<ListenOptions>({"listen", "--topic", "a/#", "--topic", "b"}).topics ==
        std::vector<std::string>{"a/#", "b"});

  const auto replay = options_of<ReplayOptions>(
      {"replay", "--batch", "b", "--readings", "r", "--alerts", "a", "--curve", "c", "--forecasts", "f"});
  CHECK((replay.batch == "b" && replay.readings == "r" && replay.alerts == "a" && replay.curve == "c" &&
         replay.forecasts == "f"));
}

TEST_CASE("the verbs that ask about a batch take it by any name") {
  CHECK(options_of<ExplainOptions>({"explain", "Harbour amber"}).batch == "Harbour amber");

  const auto forecast =
      options_of<ForecastOptions>({"forecast", "left", "--hold", "22 Cel", "--from", "f", "--ready-by", "r"});
  CHECK((forecast.batch == "left" && forecast.hold == "22 Cel" && forecast.from == "f" &&
         forecast.ready_by == "r"));
  CHECK_FALSE(options_of<ForecastOptions>({"forecast", "left"}).hold);

  const auto sample = options_of<SampleOptions>(
      {"sample", "left", "1.012", "--at", "t", "--temperature", "24 Cel", "--calibrated-at", "20 Cel"});
  CHECK((sample.batch == "left" && sample.reading == "1.012" && sample.time == "t" &&
         sample.temperature == "24 Cel" && sample.calibrated_at == "20 Cel" && !sample.refractometer));
  CHECK(options_of<SampleOptions>({"sample", "left", "6.2", "--refractometer"}).refractometer);
  const auto note = options_of<NoteOptions>({"note", "left", "Dry hops.", "--at", "18:00"});
  CHECK((note.batch == "left" && note.text == "Dry hops." && note.time == "18:00"));
  CHECK(options_of<NotesOptions>({"notes", "left"}).batch == "left");
}

TEST_CASE("a rehearsal goes at the speed asked for") {
  CHECK(options_of<RehearseOptions>({"rehearse"}).speed == 1.0);
  CHECK(options_of<RehearseOptions>({"rehearse", "--speed", "30000"}).speed == 30000.0);
  CHECK(std::isinf(options_of<RehearseOptions>({"rehearse", "--speed", "max"}).speed));
  CHECK_FALSE(options_of<RehearseOptions>({"rehearse"}).scenario.empty());
}

TEST_CASE("the common options stand before or after the verb") {
  const auto order = GENERATE(values<std::vector<const char*>>(
      {{"--json", "--config", "/etc/my config.toml", "--socket", "s", "status"},
       {"status", "--json", "--config", "/etc/my config.toml", "--socket", "s"}}));
  const auto result = parsed(order);
  REQUIRE(std::holds_alternative<CommandLine>(result));
  const CommonOptions& common = std::get<CommandLine>(result).common;
  CHECK(common.json);
  CHECK(common.config == "/etc/my config.toml");
  CHECK(common.socket == "s");
}

TEST_CASE("wrong use has its own exit code, help is no failure") {
  const auto wrong = GENERATE(values<std::vector<const char*>>({
      {},
      {"brew"},
      {"--nonsense"},
      {"status", "--nonsense"},
      {"status", "left", "right"},
      {"pitch", "--vessel", "left"},
      {"pitch", "--name", "n"},
      {"pitch", "--vessel", "left", "--name", "n", "--batch", "b"},
      {"pitch", "--vessel", "left", "--batch", "b", "--hold", "18 Cel until 75 %"},
      {"package"},
      {"explain"},
      {"forecast"},
      {"forecast", "left", "--from", "2026-03-12T18:00:00Z"},
      {"sample", "left"},
      {"sample", "left", "1.012", "--calibrated-at", "20 Cel"},
      {"sample", "left", "6.2", "--refractometer", "--temperature", "24 Cel"},
      {"sample", "left", "1.012", "--wort-correction", "1.03"},
      {"sensors", "left"},
      {"refusals", "--limit", "-1"},
      {"refusals", "--limit", "1001"},
      {"replay", "--batch", "b"},
      {"replay", "--readings", "r"},
      {"rehearse", "--speed", "0"},
      {"rehearse", "--speed", "nan"},
      {"rehearse", "--speed", "fast"},
      {"rehearse", "--seed", "-1"},
      {"listen", "--count", "x"},
      {"listen", "--count", "0"},
      {"listen", "--count", "-3"},
  }));
  CAPTURE(wrong);
  const auto result = parsed(wrong);
  REQUIRE(std::holds_alternative<Exit>(result));
  CHECK(std::get<Exit>(result) == Exit::wrong_use);

  const auto fine = GENERATE(values<std::vector<const char*>>(
      {{"--help"}, {"--version"}, {"replay", "--help"}, {"sample", "--help"}}));
  CHECK(std::get<Exit>(parsed(fine)) == Exit::ok);
}
