#include "storage/run_log.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>

#include "messages.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

// What `run` does in a process of its own that is then killed.
template <class F>
void killed_after(F&& run) {
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    run();
    raise(SIGKILL);
  }
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE((WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL));
}

std::vector<Run> begin(const std::filesystem::path& path, Time now) {
  Database db = open(path);
  return RunLog(db).begin(now).value();
}

}  // namespace

TEST_CASE("the first run has none before it") {
  const TempDir dir;
  CHECK(begin(dir / "journal.db", at(0)).empty());
}

TEST_CASE("a clean stop is known as one") {
  const TempDir dir;
  killed_after([&] {  // the kill comes after the stop
    Database db = open(dir / "journal.db");
    RunLog log(db);
    if (!log.begin(at(0)) || !log.alive(at(60)) || !log.stopped(at(90))) _exit(1);
  });
  const std::vector<Run> earlier = begin(dir / "journal.db", at(1000));
  REQUIRE(earlier.size() == 1);
  CHECK(earlier[0].started == at(0));
  CHECK(earlier[0].stopped == at(90));
  CHECK(earlier[0].alive == at(90));
}

TEST_CASE("a killed run is known with when it was last alive") {
  const TempDir dir;
  killed_after([&] {
    Database db = open(dir / "journal.db");
    RunLog log(db);
    if (!log.begin(at(0)) || !log.alive(at(60)) || !log.alive(at(120))) _exit(1);
  });
  killed_after([&] {
    Database db = open(dir / "journal.db");
    if (!RunLog(db).begin(at(500))) _exit(1);
  });
  const std::vector<Run> earlier = begin(dir / "journal.db", at(1000));
  REQUIRE(earlier.size() == 2);
  CHECK(earlier[0].started == at(500));
  CHECK(earlier[0].alive == at(500));
  CHECK_FALSE(earlier[0].stopped);
  CHECK(earlier[1].started == at(0));
  CHECK(earlier[1].alive == at(120));
  CHECK_FALSE(earlier[1].stopped);
}

TEST_CASE("a daemon that is restarted for ever does not fill the disk") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  for (int i = 0; i < 1005; ++i) REQUIRE(RunLog(db).begin(at(i)));
  const std::vector<Run> earlier = RunLog(db).begin(at(2000)).value();
  REQUIRE(earlier.size() == 1000);
  CHECK(earlier.front().started == at(1004));
  CHECK(earlier.back().started == at(5));
}

TEST_CASE("a run that could not be stored has not begun") {
  const TempDir dir;
  FailingDisk disk;
  Database db = open(dir / "journal.db");
  RunLog log(db);
  FailingDisk::fail_from(1, SQLITE_FULL);
  REQUIRE_FALSE(log.begin(at(0)));
  FailingDisk::heal();
  CHECK(log.begin(at(10)).value().empty());
  FailingDisk::fail_from(1, SQLITE_FULL);
  const Status noted = log.alive(at(70));
  REQUIRE_FALSE(noted);
  CHECK(noted.error().code == Errc::storage);
  FailingDisk::heal();
  CHECK(log.alive(at(130)));
  CHECK(begin(dir / "journal.db", at(200)).at(0).alive == at(130));
}
