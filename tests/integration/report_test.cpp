#include <thread>
#include <utility>

#include "support/places.h"
#include "support/python.h"
#include "watched_cellar.h"

using namespace gyle::test;

// Readings go in at the broker; report and export return them.
TEST_CASE("a whole batch can be exported: as a report and as CSV") {
  WatchedCellar cellar;
  cellar.broker.start();
  cellar.start_and_connect();
  const std::vector<std::string> rehearse{"rehearse",
                                          "--scenario",
                                          "three-week",
                                          "--seed",
                                          "3",
                                          "--pitched",
                                          "2026-03-01T18:30:00Z",
                                          "--write-batch",
                                          cellar.dir / "b.toml",
                                          "--quiet"};
  auto dry = rehearse;
  dry.emplace_back("--dry-run");
  REQUIRE(cellar.ask(dry).exit == 0);
  REQUIRE(cellar.ask({"pitch", "--vessel", "left", "--batch", cellar.dir / "b.toml"}).exit == 0);
  auto publish = rehearse;
  publish.insert(publish.end(), {"--speed", "max"});
  REQUIRE(cellar.ask(publish).exit == 0);
  REQUIRE(eventually(
      [&] {
        return cellar.ask({"alerts", "left"}).text.find("reached its final gravity") != std::string::npos;
      },
      std::chrono::seconds(60)));
  // All of them have come.
  std::int64_t before = -1;
  REQUIRE(eventually(
      [&] {
        std::this_thread::sleep_for(std::chrono::seconds(1));
        return std::exchange(before, cellar.kept()) == cellar.kept();
      },
      std::chrono::seconds(60)));

  const auto report = cellar.dir / "report.html", raw = cellar.dir / "raw.csv";
  REQUIRE(cellar.ask({"report", "left", "left", "--output", report}).exit == 0);
  Process reader({python(), gyle::test::source_dir() + "/tests/support/read_report.py", report,
                  "has reached its final gravity", "Alcohol by volume", "2 batches compared"},
                 cellar.dir / "read");
  CHECK(reader.wait() == 0);

  // Every reading of the journal, once, though it comes in pages; in order.
  REQUIRE(cellar.ask({"export", "left", "--what", "raw", "--output", raw}).exit == 0);
  const std::string csv = content(raw);
  CHECK(count_of("\r\n", csv) == static_cast<std::size_t>(cellar.kept()) + 1);
  CHECK(count_of("number,time_utc", csv) == 1);
  CHECK(cellar.kept() > 5000);  // more than a page
  for (const char* what : {"curve", "alerts"}) {
    CHECK(cellar.ask({"export", "left", "--what", what}).text.starts_with("time_utc,"));
  }
  CHECK(cellar.ask({"report", "nowhere"}).exit == 1);
  CHECK(cellar.ask({"export", "left", "--what", "beer"}).exit == 2);
}
