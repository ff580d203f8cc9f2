// The verbs that keep the record: backup, restore, import and export of everything.

#include <fmt/format.h>
#include <catch2/catch.hpp>
#include <fstream>
#include <mutex>
#include <nlohmann/json.hpp>
#include <set>

#include "command_line.h"
#include "control/routes.h"
#include "printed.h"
#include "served_socket.h"
#include "storage/backup.h"
#include "storage/batch_store.h"
#include "storage/note_store.h"
#include "support/temp_dir.h"
#include "unit/control/fake_cellar.h"
#include "verbs.h"

using namespace gyle;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

Exit gylekeeper(std::vector<std::string> words) {
  words.insert(words.begin(), "gylekeeper");
  std::vector<const char*> arguments;
  for (const std::string& word : words) arguments.push_back(word.c_str());
  const std::vector<Verb> verbs = all_verbs();
  const auto asked = parse_command_line(verbs, static_cast<int>(arguments.size()), arguments.data());
  if (const auto* exit = std::get_if<Exit>(&asked)) return *exit;
  return std::get<Invocation>(asked).verb->run(std::get<Invocation>(asked).common);
}

std::string text_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// The cellar of the API's own tests behind a socket, and what it was asked.
struct Served {
  test::FakeCellar cellar;
  std::mutex asking;
  std::vector<HttpRequest> requests;
  std::unique_ptr<test::Daemon> daemon;

  explicit Served(const fs::path& socket) {
    cellar.written = {{1, test::at("2026-03-02T10:00:00Z"), "One\nand two."}};
    daemon = std::make_unique<test::Daemon>(socket, [this](const HttpRequest& request) {
      const std::lock_guard lock(asking);
      requests.push_back(request);
      return respond(request, cellar, {});
    });
  }
};

}  // namespace

TEST_CASE("thin makes a backup first, and wants the daemon to be away") {
  const test::TempDir dir;
  const std::string backup = dir / "b.db", config = dir / "c.toml";
  std::ofstream(config) << "[storage]\ndatabase = \"" << (dir / "j.db").string()
                        << "\"\n[control]\nsocket = \"" << (dir / "s").string() << "\"\n";
  CHECK(gylekeeper({"thin", backup, "--config", config}) == Exit::failed);  // no database
  CHECK_FALSE(fs::exists(dir / "j.db"));
  {
    Database db = std::move(Database::open(dir / "j.db")).value();
    REQUIRE(BatchStore(db).pitch({"left", "Amber", Time(days(20000)), "x"}));
  }
  CHECK(gylekeeper({"thin", "--config", config}) == Exit::wrong_use);  // neither a backup nor --count
  {
    const test::Daemon daemon(dir / "s", [](const HttpRequest&) { return HttpResponse{.body = "{}"}; });
    CHECK(gylekeeper({"thin", "--count", "--config", config}) == Exit::failed);
  }
  CHECK(gylekeeper({"thin", "--count", "--batch", "Amber", "--config", config}) ==
        Exit::failed);  // in its vessel
  CHECK_FALSE(fs::exists(backup));
  const std::string said = test::printed([&] {
    CHECK(gylekeeper({"thin", backup, "--older-than", "30", "--json", "--config", config}) == Exit::ok);
  });
  const json answer = json::parse(said);
  CHECK(answer.at("batches").empty());
  CHECK(answer.at("backup") == backup);
  CHECK(answer.at("bytes_before") == answer.at("bytes_after"));
  CHECK(check_database_file(backup).value().batches == 1);
  CHECK(gylekeeper({"thin", backup, "--config", config}) == Exit::failed);  // there is such a file
}

TEST_CASE("the database of the configuration is copied, and put back when the daemon is away") {
  const test::TempDir dir;
  const std::string backup = dir / "b.db", config = dir / "c.toml";
  std::ofstream(config) << "[storage]\ndatabase = \"" << (dir / "j.db").string()
                        << "\"\n[control]\nsocket = \"" << (dir / "s").string() << "\"\n";
  {
    Database db = std::move(Database::open(dir / "j.db")).value();
    const auto id = BatchStore(db).pitch({"left", "Amber", Time(days(20000)), "x"});
    CHECK(gylekeeper({"backup", backup, "--config", config}) == Exit::ok);
    CHECK(gylekeeper({"backup", backup, "--config", config}) == Exit::failed);  // it is there
    CHECK(gylekeeper({"backup", backup, "--config", config, "--overwrite"}) == Exit::ok);
    REQUIRE(NoteStore(db).add(id.value(), Time(days(20001)), "Later."));
    CHECK(gylekeeper({"restore", backup, "--config", config}) == Exit::failed);  // in use
  }
  {
    const test::Daemon daemon(dir / "s", [](const HttpRequest&) { return HttpResponse{.body = "{}"}; });
    CHECK(gylekeeper({"restore", backup, "--config", config}) == Exit::failed);
  }
  CHECK(check_database_file(dir / "j.db").value().notes == 1);
  CHECK(gylekeeper({"restore", backup, "--config", config}) == Exit::ok);
  CHECK(check_database_file(dir / "j.db").value().notes == 0);
  CHECK(gylekeeper({"restore", dir / "none.db", "--config", config}) == Exit::failed);
  CHECK(gylekeeper({"backup", dir / "c.db", "--config", config, "--database", dir / "none.db"}) ==
        Exit::failed);
  CHECK_FALSE(fs::exists(dir / "c.db"));
}

TEST_CASE("an old curve is sent as readings and a batch, in parts that the daemon takes") {
  const test::TempDir dir;
  std::ofstream old(dir / "old.csv");
  old << "Date;SG;Temp\r\n";
  // Two months of minutes.
  constexpr int kRows = 60 * 24 * 60;
  for (int i = 0; i < kRows; ++i) {
    const auto time =
        fmt::format("{:02}.{:02}.2025 {:02}:{:02}", 1 + i / 1440 % 30, 6 + i / 43200, i / 60 % 24, i % 60);
    old << fmt::format("{};1,0{:02};68\r\n", time, 48 - i / 2500);
  }
  old << "31.06.2025 00:00;1,010;68\r\n";  // there is no such day
  old.close();
  const Served served(dir / "s");
  const std::vector<std::string> command{"import",
                                         dir / "old.csv",
                                         "--name",
                                         "Amber of 2025",
                                         "--vessel",
                                         "right",
                                         "--yeast",
                                         "House ale",
                                         "--original-gravity",
                                         "1.048",
                                         "--time-column",
                                         "date",
                                         "--time-format",
                                         "%d.%m.%Y %H:%M",
                                         "--time-zone",
                                         "Europe/Zurich",
                                         "--gravity-column",
                                         "SG",
                                         "--separator",
                                         ";",
                                         "--temperature-column",
                                         "Temp",
                                         "--temperature-unit",
                                         "F",
                                         "--socket",
                                         dir / "s"};
  auto dry = command;
  dry.push_back("--dry-run");
  CHECK(gylekeeper(dry) == Exit::ok);
  CHECK(served.requests.empty());

  CHECK(gylekeeper(command) == Exit::ok);
  REQUIRE(served.requests.size() > 3);
  std::size_t rows = 0;
  std::set<std::string> addresses;
  for (std::size_t i = 0; i + 1 < served.requests.size(); ++i) {
    const HttpRequest& part = served.requests[i];
    addresses.insert(part.target);
    CHECK(part.content_type == "text/csv");
    CHECK(part.body.size() < HttpLimits{}.body_bytes);
    rows += static_cast<std::size_t>(std::count(part.body.begin(), part.body.end(), '\n')) - 1;
  }
  CHECK(addresses.size() == 1);
  CHECK(rows == 2 * kRows);  // a gravity and a temperature each
  // Midnight in Zurich in summer is 22:00 in UTC; 68 F are 20 degC.
  CHECK_THAT(served.requests[0].body,
             Catch::StartsWith("time,sensor,quantity,value\n2025-05-31T22:00:00Z,import,gravity,1.048\n"
                               "2025-05-31T22:00:00Z,import,beer_temperature,20\n"));
  const HttpRequest& batch = served.requests.back();
  CHECK_THAT(batch.target, Catch::Contains("/batch?vessel=right&packaged=2025-07-30T21%3A59%3A00Z"));
  CHECK_THAT(batch.body, Catch::Contains("name = \"Amber of 2025\"\npitched = 2025-05-31T22:00:00Z\n"));
  CHECK_THAT(batch.body, !Catch::Contains("attenuation"));  // the daemon knows better
}

TEST_CASE("an implausible import is refused before anything is sent") {
  const test::TempDir dir;
  std::ofstream(dir / "old.csv") << "Date,SG\n2026-03-01 18:30,1.048\n2026-03-09 18:30,1.012\n";
  const Served served(dir / "s");
  const auto import = [&](const std::vector<std::string>& more) {
    std::vector<std::string> words{"import", dir / "old.csv", "--vessel", "right", "--socket", dir / "s"};
    words.insert(words.end(), more.begin(), more.end());
    return gylekeeper(words);
  };
  const std::vector<std::string> right{"--name", "A", "--time-column", "Date", "--gravity-column", "SG"};
  const auto with = [&](std::vector<std::string> more) {
    more.insert(more.begin(), right.begin(), right.end());
    return import(more);
  };
  CHECK(import({"--name", "A", "--time-column", "Date", "--gravity-column", "Gravity"}) == Exit::wrong_use);
  CHECK(import({"--time-column", "Date", "--gravity-column", "SG"}) == Exit::wrong_use);
  CHECK(with({"--time-format", "%d.%m.%Y"}) == Exit::wrong_use);
  CHECK(with({"--time-zone", "Nowhere/Land"}) == Exit::wrong_use);
  CHECK(with({"--decimal-comma"}) == Exit::wrong_use);  // no such option: a comma is understood
  CHECK(with({"--separator", "ab"}) == Exit::wrong_use);
  CHECK(with({"--gravity-unit", "Brix"}) == Exit::wrong_use);
  CHECK(with({"--original-gravity", "48"}) == Exit::wrong_use);
  const std::string early = test::complained([&] {
    CHECK(with({"--packaged", "2026-03-01 10:00", "--time-zone", "America/New_York"}) == Exit::wrong_use);
  });
  CHECK_THAT(early, Catch::Contains("packaged on 1 Mar 2026 10:00, but pitched on 1 Mar 2026 18:30 (New York "
                                    "time)"));
  CHECK(served.requests.empty());
  CHECK(with({}) == Exit::ok);
  CHECK(gylekeeper({"import", dir / "old.csv", "--vessel", "right", "--socket", dir / "none", "--name", "A",
                    "--time-column", "Date", "--gravity-column", "SG"}) == Exit::unreachable);
}

TEST_CASE("everything is written into a folder, with a list of what there is") {
  const test::TempDir dir;
  const Served served(dir / "s");
  const fs::path folder = dir / "all";
  const auto again = [&] { return gylekeeper({"export", "--everything", folder, "--socket", dir / "s"}); };
  REQUIRE(again() == Exit::ok);
  const json manifest = json::parse(text_of(folder / "manifest.json"));
  CHECK(manifest["complete"] == true);
  std::set<std::string> listed;
  for (const json& file : manifest["files"]) {
    const std::string name = file["file"];
    CAPTURE(name);
    listed.insert(name);
    const std::string text = text_of(folder / name);
    if (file.contains("items")) {
      CHECK(json::parse(text).size() == file["items"]);
    } else {
      CHECK(text.find("\r\n") != std::string::npos);
    }
    if (name == "batch-7/readings.csv") CHECK(file["rows"] == 3);
    if (name == "batch-7/notes.csv") CHECK(file["rows"] == 1);  // of two lines
  }
  for (const char* name : {"batches.json", "yeasts.json", "watcher.json", "calibrations.json",
                           "batch-3/curve.csv", "batch-7/alerts.csv", "batch-7/notes.csv"}) {
    CAPTURE(name);
    CHECK(listed.contains(name));
  }
  // The one whose description cannot be read has no curve, and the output says so.
  CHECK_FALSE(listed.contains("batch-9/curve.csv"));
  CHECK(manifest["left_out"].dump().find("batch-9/curve.csv") != std::string::npos);
  const json batches = json::parse(text_of(folder / "batches.json"));
  REQUIRE(batches.size() == 3);
  for (const json& batch : batches) {
    for (const char* what : {"notes", "samples", "alerts", "amendments"}) CHECK(batch.contains(what));
    CHECK(batch["notes"][0]["text"] == "One\nand two.");
  }

  CHECK(again() == Exit::ok);
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    CHECK(entry.path().extension() != ".partial");
  }
  fs::create_directory(dir / "other");
  std::ofstream(dir / "other/thing") << "precious";
  CHECK(gylekeeper({"export", "--everything", dir / "other", "--socket", dir / "s"}) == Exit::failed);
  CHECK(gylekeeper({"export", "--socket", dir / "s"}) == Exit::wrong_use);
  CHECK(gylekeeper({"export", "left", "--what", "notes", "--output", dir / "n.csv", "--socket", dir / "s"}) ==
        Exit::ok);
  CHECK(text_of(dir / "n.csv") == "number,time_utc,text\r\n1,2026-03-02T10:00:00Z,\"One\nand two.\"\r\n");
}
