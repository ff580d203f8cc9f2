#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "base/rfc3339.h"
#include "support/process.h"
#include "support/temp_dir.h"

using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using gyle::test::Process;
using gyle::test::TempDir;

namespace {

std::string content(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void write(const std::filesystem::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

std::filesystem::path log_file(const std::string& log, const std::string& file) {
  return std::filesystem::path(GYLE_REPLAY_LOGS) / log / file;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    lines.push_back(line);
  }
  return lines;
}

// Rows of a CSV of ours, which never needs a quote.
std::vector<std::vector<std::string>> rows_of(const std::string& csv) {
  std::vector<std::vector<std::string>> rows;
  for (std::string line : lines_of(csv)) {
    line += ',';
    std::vector<std::string> fields;
    for (std::size_t at = 0, end = 0; (end = line.find(',', at)) != std::string::npos; at = end + 1) {
      fields.push_back(line.substr(at, end - at));
    }
    rows.push_back(fields);
  }
  return rows;
}

struct Replayed {
  int exit = -1;
  std::string said;
  std::string alerts;
  std::string curve;
  std::string forecasts;
};

Replayed replayed(const std::filesystem::path& batch, const std::filesystem::path& readings) {
  const TempDir dir;
  Process tool({GYLE_TOOL, "replay", "--batch", batch, "--readings", readings, "--alerts", dir / "alerts",
                "--curve", dir / "curve", "--forecasts", dir / "forecasts"},
               dir / "said");
  const int exit = tool.wait().value_or(-1);
  return {exit, content(dir / "said"), content(dir / "alerts"), content(dir / "curve"),
          content(dir / "forecasts")};
}

gyle::Time time_of(const std::string& text) { return gyle::parse_rfc3339(text).value(); }

// A made-up batch, written as the contract's two files.
struct MadeUp {
  explicit MadeUp(const std::string& scenario, const std::string& seed = "1") {
    Process tool({GYLE_TOOL, "rehearse", "--dry-run", "--scenario", scenario, "--seed", seed, "--pitched",
                  "2026-03-01T18:30:00Z", "--write-batch", batch(), "--write-readings", readings()});
    REQUIRE(tool.wait() == 0);
  }
  std::filesystem::path batch() const { return dir / "batch.toml"; }
  std::filesystem::path readings() const { return dir / "readings.csv"; }
  TempDir dir;
};

const std::string kHeader = "time,sensor,quantity,value\n";

}  // namespace

TEST_CASE("a replay writes what the contract says") {
  const Replayed result = replayed(log_file("plain", "batch.toml"), log_file("plain", "readings.csv"));
  REQUIRE(result.exit == 0);
  CHECK(result.said.empty());

  const auto curve = rows_of(result.curve);
  REQUIRE(curve.size() == 1 + 24);  // a row for each gravity reading
  CHECK(curve[0] == std::vector<std::string>{"time", "gravity_raw", "gravity", "gravity_low", "gravity_high",
                                             "temperature", "attenuation", "stage"});
  const auto recorded = rows_of(content(log_file("plain", "readings.csv")));
  for (std::size_t i = 1; i < curve.size(); ++i) {
    CAPTURE(curve[i]);
    REQUIRE(curve[i].size() == 8);
    CHECK(curve[i][0] == recorded[2 * i - 1][0]);
    CHECK(std::stod(curve[i][1]) == Approx(std::stod(recorded[2 * i - 1][3])).margin(1e-9));
    CHECK(std::stod(curve[i][3]) <= std::stod(curve[i][2]));
    CHECK(std::stod(curve[i][2]) <= std::stod(curve[i][4]));
    CHECK(std::set<std::string>{"lag", "active", "slowing", "finished", "stuck"}.count(curve[i][7]) == 1);
  }

  const auto forecasts = rows_of(result.forecasts);
  CHECK(forecasts[0] == std::vector<std::string>{"time", "final_gravity", "final_gravity_low",
                                                 "final_gravity_high", "final_time", "final_time_low",
                                                 "final_time_high", "step", "step_time", "step_time_low",
                                                 "step_time_high"});
  REQUIRE(forecasts.size() >= 2);  // 20:00 to 07:30: at least one six-hour mark after the first reading
  for (std::size_t i = 1; i < forecasts.size(); ++i) {
    CAPTURE(forecasts[i]);
    REQUIRE(forecasts[i].size() == 11);
    const gyle::Duration since = time_of(forecasts[i][0]) - time_of("2026-03-01T20:00:00Z");
    CHECK(since % gyle::hours(6) == gyle::Duration(0));
    if (i > 1) CHECK(time_of(forecasts[i][0]) - time_of(forecasts[i - 1][0]) == gyle::hours(6));
  }
}

TEST_CASE("what is spoilt changes neither the curve nor the exit code") {
  const Replayed plain = replayed(log_file("plain", "batch.toml"), log_file("plain", "readings.csv"));
  const Replayed spoilt = replayed(log_file("spoilt", "batch.toml"), log_file("spoilt", "readings.csv"));
  CHECK(spoilt.exit == 0);
  CHECK(spoilt.curve == plain.curve);
  CHECK(spoilt.forecasts == plain.forecasts);
}

TEST_CASE("the form of the file makes no difference") {
  const TempDir dir;
  const std::string text = content(log_file("plain", "readings.csv"));
  std::string other = "time,sensor,quantity,value\r\n";
  for (const auto& row : rows_of(text)) {
    if (row[0] != "time") other += "\"" + row[0] + "\"," + row[1] + "," + row[2] + ",\"" + row[3] + "\"\r\n";
  }
  other.resize(other.size() - 2);  // the last line break may be missing
  write(dir / "other.csv", other);
  const Replayed plain = replayed(log_file("plain", "batch.toml"), log_file("plain", "readings.csv"));
  const Replayed quoted = replayed(log_file("plain", "batch.toml"), dir / "other.csv");
  CHECK(quoted.exit == 0);
  CHECK(quoted.curve == plain.curve);
  CHECK(quoted.alerts == plain.alerts);
}

TEST_CASE("a file without readings has outputs without rows") {
  const TempDir dir;
  write(dir / "r.csv", kHeader);
  const Replayed result = replayed(log_file("plain", "batch.toml"), dir / "r.csv");
  CHECK(result.exit == 0);
  CHECK(result.alerts.empty());
  CHECK(lines_of(result.curve).size() == 1);
  CHECK(lines_of(result.forecasts).size() == 1);
}

TEST_CASE("a malformed file is one line with file and line, exit code 2, and nothing written") {
  struct Row {
    const char* name;
    std::string readings;
    const char* where;
  };
  const auto row = GENERATE_REF(values<Row>({
      {"empty", "", "r.csv:1: "},
      {"wrong header", "time,sensor,value\n", "r.csv:1: "},
      {"missing field", kHeader + "2026-03-01T20:00:00Z,hydrometer,gravity\n", "r.csv:2: "},
      {"bad time in line 3",
       kHeader + "2026-03-01T20:00:00Z,hydrometer,gravity,1.048\nyesterday,hydrometer,gravity,1.048\n",
       "r.csv:3: "},
      {"unknown quantity", kHeader + "2026-03-01T20:00:00Z,hydrometer,colour,1.048\n", "r.csv:2: "},
      {"no number", kHeader + "2026-03-01T20:00:00Z,hydrometer,gravity,heavy\n", "r.csv:2: "},
      {"binary", std::string("\x7f\x45\x4c\x46\x00\x01\n", 7), "r.csv:1: "},
  }));
  CAPTURE(row.name);
  const TempDir dir;
  write(dir / "r.csv", row.readings);
  const Replayed result = replayed(log_file("plain", "batch.toml"), dir / "r.csv");
  CHECK(result.exit == 2);
  CHECK_THAT(result.said, StartsWith("gylekeeper: ") && Contains(row.where));
  CHECK(lines_of(result.said).size() == 1);
  CHECK((result.alerts.empty() && result.curve.empty() && result.forecasts.empty()));
}

TEST_CASE("a malformed batch is one line with file and line, exit code 2") {
  const TempDir dir;
  write(dir / "b.toml", "name = \"x\"\npitched = 2026-03-01T18:30:00Z\noriginal_gravity = 1048\n");
  const Replayed result = replayed(dir / "b.toml", log_file("plain", "readings.csv"));
  CHECK(result.exit == 2);
  CHECK_THAT(result.said, Contains("b.toml:3: ") && Contains("original_gravity"));
  CHECK(lines_of(result.said).size() == 1);

  const Replayed absent = replayed(dir / "absent.toml", log_file("plain", "readings.csv"));
  CHECK(absent.exit == 2);
  CHECK_THAT(absent.said, Contains("absent.toml"));
  CHECK(replayed(log_file("plain", "batch.toml"), dir / "absent.csv").exit == 2);
}

TEST_CASE("an output that cannot be written is reported and fails") {
  const TempDir dir;
  Process tool({GYLE_TOOL, "replay", "--batch", log_file("plain", "batch.toml"), "--readings",
                log_file("plain", "readings.csv"), "--curve", "/nowhere/curve.csv"},
               dir / "said");
  CHECK(tool.wait() == 1);
  CHECK_THAT(content(dir / "said"), Contains("/nowhere/curve.csv") && Contains("No such file"));
}

TEST_CASE("alerts are objects with the fields of the contract, in order") {
  const MadeUp made("three-week");
  const Replayed result = replayed(made.batch(), made.readings());
  REQUIRE(result.exit == 0);
  std::vector<std::string> kinds;
  gyle::Time last;
  for (const std::string& line : lines_of(result.alerts)) {
    CAPTURE(line);
    const auto alert = nlohmann::json::parse(line);
    std::set<std::string> fields;
    for (const auto& [key, value] : alert.items()) fields.insert(key);
    std::set<std::string> wanted{"time", "kind", "severity", "state", "batch", "text", "evidence"};
    if (alert["kind"] == "step-due" || alert["kind"] == "step-not-held") {
      wanted.insert("step");
      CHECK(alert["step"] >= 1);
      CHECK(alert["step"] <= 2);
    }
    CHECK(fields == wanted);
    CHECK((alert["state"] == "raised" || alert["state"] == "withdrawn"));
    CHECK(alert["batch"] == "Rehearsal: three-week");
    for (const auto& [key, value] : alert["evidence"].items()) CHECK(value.is_number());
    const gyle::Time time = time_of(alert["time"]);
    CHECK(time >= last);
    last = time;
    kinds.push_back(alert["kind"]);
  }
  // The made-up truth: it starts, and its first hold ends.
  for (const char* kind : {"fermentation-started", "step-due"}) {
    CAPTURE(kind);
    CHECK(std::count(kinds.begin(), kinds.end(), kind) >= 1);
  }
}

TEST_CASE("the outputs up to a row are the same whatever comes after it") {
  const std::string scenario = GENERATE("three-week", "foam", "creeping");
  CAPTURE(scenario);
  const MadeUp made(scenario, "7");
  const Replayed whole = replayed(made.batch(), made.readings());
  REQUIRE(whole.exit == 0);
  const std::string readings = content(made.readings());
  for (int part = 1; part < 8; ++part) {
    CAPTURE(part);
    const std::size_t end = readings.find('\n', readings.size() * static_cast<std::size_t>(part) / 8) + 1;
    write(made.dir / "part.csv", readings.substr(0, end));
    const Replayed early = replayed(made.batch(), made.dir / "part.csv");
    REQUIRE(early.exit == 0);
    CHECK(whole.alerts.compare(0, early.alerts.size(), early.alerts) == 0);
    CHECK(whole.curve.compare(0, early.curve.size(), early.curve) == 0);
    CHECK(whole.forecasts.compare(0, early.forecasts.size(), early.forecasts) == 0);
    CHECK(early.curve.size() > 200);
  }
}

TEST_CASE("the curve has a row for each accepted gravity, in order of time") {
  const std::string scenario = GENERATE("three-week", "quiet", "silent");
  const MadeUp made(scenario);
  const Replayed result = replayed(made.batch(), made.readings());
  REQUIRE(result.exit == 0);
  const auto curve = rows_of(result.curve);
  std::set<std::pair<std::string, double>> recorded;
  for (const auto& row : rows_of(content(made.readings()))) {
    if (row[2] == "gravity") recorded.emplace(row[0], std::stod(row[3]));
  }
  CHECK(curve.size() > recorded.size() / 2);
  CHECK(curve.size() - 1 <= recorded.size());
  for (std::size_t i = 1; i < curve.size(); ++i) {
    CAPTURE(i, curve[i]);
    const auto same_time = [&](const auto& reading) {
      return reading.first == curve[i][0] && std::abs(reading.second - std::stod(curve[i][1])) < 6e-6;
    };
    CHECK(std::any_of(recorded.begin(), recorded.end(), same_time));
    if (i > 1) CHECK(time_of(curve[i][0]) >= time_of(curve[i - 1][0]));
  }
}

TEST_CASE("without outputs the alerts are told in sentences") {
  const MadeUp made("three-week");
  const TempDir dir;
  Process tool({GYLE_TOOL, "replay", "--batch", made.batch(), "--readings", made.readings()}, dir / "said");
  CHECK(tool.wait() == 0);
  CHECK_THAT(content(dir / "said"), Contains("is fermenting"));
}
