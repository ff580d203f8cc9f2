#pragma once

#include <sqlite3.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cellar.h"
#include "support/places.h"

namespace gyle::test {

inline std::size_t count_of(const std::string& what, const std::string& text) {
  std::size_t count = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + what.size())) ++count;
  return count;
}

// As config/ ships it, but writing its queue to disk so often that a test need not wait.
inline std::string shipped_broker_settings() {
  const std::string path = gyle::test::source_dir() + "/config/mosquitto-gylekeeper.conf";
  std::ifstream in(path);
  if (!in) throw std::runtime_error("no file " + path);
  std::string settings = "allow_anonymous true\n";
  for (std::string line; std::getline(in, line);) {
    if (line.rfind("autosave_interval", 0) != 0) settings += line + "\n";
  }
  return settings;
}

// What a reading is known by: time, sensor, quantity, value.
using JournalledReading = std::tuple<std::int64_t, std::string, std::string, double>;

// A daemon with its broker, its configuration and its database, all in a folder of the test.
struct WatchedCellar : Cellar {
  WatchedCellar() : Cellar(shipped_broker_settings()) { configure(); }

  // `more` comes after what every test needs; `mqtt` are lines of the section of that name.
  void configure(const std::string& more = "", const std::string& mqtt = "") const {
    std::ofstream(config()) << "[mqtt]\nbroker = \"" << (broker_url.empty() ? broker.url() : broker_url)
                            << "\"\n"
                            << mqtt << "[storage]\ndatabase = \"" << database().string() << "\"\n"
                            << "[control]\nsocket = \"" << (dir / "control.sock").string() << "\"\n"
                            << "[page]\n"
                            << page << "[[source]]\ntopic = \"gylekeeper/rehearsal/+\"\nformat = \"senml\"\n"
                            << "[[source]]\ntopic = \"probes/+/celsius\"\nformat = \"number\"\n"
                            << "sensor = { level = 1 }\nambient_temperature = { unit = \"Cel\" }\n"
                            << "[[vessel]]\nname = \"left\"\nsensors = [\"hydrometer\", \"probe\"]\n"
                            << more;
  }
  std::filesystem::path database() const {
    return (database_folder.empty() ? dir.path() : database_folder) / "journal.db";
  }

  void start(std::vector<std::string> before = {}) {
    before.insert(before.end(), {GYLE_DAEMON, "--config", config(), "--clock-follows-messages"});
    before.insert(before.end(), more_arguments.begin(), more_arguments.end());
    daemon = std::make_unique<Process>(before, log());
  }
  bool answers() const { return ask({"status"}).exit == 0; }
  // The broker keeps messages from here on.
  void start_and_connect() {
    const std::size_t before = count_of("connected to the broker", content(log()));
    start();
    REQUIRE(eventually([&] { return count_of("connected to the broker", content(log())) > before; }));
    REQUIRE(eventually([this] { return broker.log().find("Sending SUBACK") != std::string::npos; }));
    REQUIRE(eventually([this] { return answers(); }));
  }
  void kill() {
    daemon->send(SIGKILL);
    REQUIRE(daemon->wait().value_or(999) == -SIGKILL);
  }
  void end() {
    daemon->send(SIGTERM);
    REQUIRE(daemon->wait().value_or(999) == 0);
  }

  // What `read` makes of each row.
  template <typename Row, typename Read>
  std::vector<Row> query(const char* sql, const Read& read) const {
    std::vector<Row> rows;
    sqlite3* db = nullptr;
    sqlite3_stmt* statement = nullptr;
    if (sqlite3_open_v2(database().c_str(), &db, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK) {
      sqlite3_busy_timeout(db, 5000);
      if (sqlite3_prepare_v2(db, sql, -1, &statement, nullptr) == SQLITE_OK) {
        while (sqlite3_step(statement) == SQLITE_ROW) rows.push_back(read(statement));
      }
    }
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return rows;
  }

  // The journal in its order, of `sensors` named so.
  std::vector<JournalledReading> journal() const {
    return query<JournalledReading>(
        "SELECT time_ms, s.text, q.text, CASE typeof(value) WHEN 'integer' THEN value / 1e6 ELSE value END "
        "FROM reading r JOIN series i ON i.id = r.series JOIN word s ON s.id = i.sensor "
        "JOIN word q ON q.id = i.quantity ORDER BY r.id",
        [](sqlite3_stmt* row) {
          const auto text = [row](int column) {
            return std::string(reinterpret_cast<const char*>(sqlite3_column_text(row, column)));
          };
          return JournalledReading(sqlite3_column_int64(row, 0), text(1), text(2),
                                   sqlite3_column_double(row, 3));
        });
  }
  std::int64_t kept() const {
    const auto count = query<std::int64_t>("SELECT count(*) FROM reading",
                                           [](sqlite3_stmt* row) { return sqlite3_column_int64(row, 0); });
    return count.empty() ? 0 : count[0];
  }

  std::string broker_url;                   // empty: that of `broker`
  std::filesystem::path database_folder;    // empty: `dir`
  std::string page = "enabled = false\n";   // lines of the section
  std::vector<std::string> more_arguments;  // of the daemon
};

}  // namespace gyle::test
