#include "app/machine.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <thread>

#include "support/manual_clock.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

TEST_CASE("uptime and disk agree with the system's own tools") {
  const TempDir dir;
  const ManualClock wall(Time(seconds(1'772'000'000)));
  std::ofstream(dir / "journal.db") << std::string(3000, 'x');
  std::ofstream(dir / "journal.db-wal") << std::string(500, 'x');
  double up_s = 0;
  std::ifstream("/proc/uptime") >> up_s;  // counts time asleep, as proc(5) says
  const MachineLook look = look_at_machine(wall, dir / "journal.db");
  CHECK(look.wall == wall.now());
  CHECK(in_seconds(look.since_boot) == Approx(up_s).margin(1));
  REQUIRE(look.disk);
  CHECK(look.disk->database_bytes == 3500);
  const double available = static_cast<double>(std::filesystem::space(dir.path()).available);
  CHECK(static_cast<double>(look.disk->free_bytes) == Approx(available).epsilon(0.05));
}

TEST_CASE("time since boot does not depend on the wall clock") {
  const TempDir dir;
  ManualClock wall(Time(seconds(1'772'000'000)));
  const MachineLook before = look_at_machine(wall, dir.path());
  std::this_thread::sleep_for(std::chrono::milliseconds(50));
  wall.advance(-hours(1));
  const MachineLook after = look_at_machine(wall, dir.path());
  CHECK(after.since_boot - before.since_boot >= std::chrono::milliseconds(49));
  CHECK(after.since_boot - before.since_boot < std::chrono::seconds(10));
  CHECK(after.wall - before.wall == -hours(1));
}

TEST_CASE("a disk that cannot be read is not full") {
  CHECK_FALSE(look_at_machine(ManualClock(Time{}), "/nowhere/journal.db").disk);
}
