#include "app/self_watch.h"

#include <catch2/catch.hpp>
#include <sstream>

using namespace gyle;

namespace {

using std::chrono::milliseconds;
constexpr std::uint64_t kMega = 1'000'000;
const Time kNoon = Time(seconds(1'772'020'800));  // 2026-02-25 12:00:00 UTC

double unix_seconds(Time time) { return in_seconds(time.time_since_epoch()); }

// A simulated machine, looked at every ten seconds.
struct MadeUpMachine {
  explicit MadeUpMachine(const SelfWatch::OpenTrouble& open = {}) : watch(open) {}

  MachineLook now{kNoon, hours(3), MachineLook::Disk{2'000 * kMega, 40 * kMega}};
  bool connected = true;
  std::optional<Time> shown;  // by a message that the clock is behind
  SelfWatch watch;
  std::vector<SystemReport> reported;

  void begin(const std::vector<Run>& earlier = {}) { keep(watch.begin(earlier, now)); }
  // Awake, and the clock is not set.
  void pass(Duration d, Duration step = seconds(10)) {
    for (Duration t{}; t < d; t += step) {
      now.wall += step;
      now.since_boot += step;
      look();
    }
  }
  void look() { keep(watch.look(now, connected, shown)); }
  // The alerts since the last call, as "kind" or "kind over".
  std::string said() {
    std::ostringstream words;
    for (const SystemReport& one : reported) {
      words << (words.tellp() > 0 ? ", " : "") << name(one.kind)
            << (one.state == Decision::State::withdrawn ? " over" : "");
    }
    last = reported;
    reported.clear();
    return words.str();
  }
  double evidence(const char* what, std::size_t of = 0) const {
    return find(last.at(of).evidence, what).value_or(-1e99);
  }
  Time time(std::size_t of = 0) const { return last.at(of).time; }
  bool knows(const char* what) const { return find(last.at(0).evidence, what).has_value(); }

 private:
  void keep(const std::vector<SystemReport>& news) {
    for (const SystemReport& one : news) {
      if (one.kind != SystemAlertKind::clock_behind) CHECK(one.time == now.wall);
    }
    reported.insert(reported.end(), news.begin(), news.end());
  }
  std::vector<SystemReport> last;
};

Run run(Duration from, Duration alive, std::optional<Duration> stopped = std::nullopt) {
  return {kNoon + from, kNoon + alive, stopped ? std::optional(kNoon + *stopped) : std::nullopt};
}

}  // namespace

TEST_CASE("how the last run ended decides what is reported at a start") {
  struct Case {
    const char* what;
    std::vector<Run> earlier;
    const char* said;
  };
  std::vector<Run> loop;  // dies 20 s after each start
  const auto die = [&loop] {
    loop.insert(loop.begin(), run(-hours(2), -hours(2) + seconds(20)));
    return loop;
  };
  const std::vector<Case> cases{
      {"first ever", {}, "watcher-started"},
      {"clean", {run(-hours(9), -hours(2), -hours(2))}, "watcher-started"},
      {"clean, just now", {run(-hours(9), -seconds(20), -seconds(20))}, ""},
      {"killed", {run(-hours(9), -hours(2))}, "watcher-restarted"},
      {"killed, just now", {run(-hours(9), -seconds(20))}, "watcher-restarted"},
      {"killed, and long ago stopped",
       {run(-hours(9), -hours(2)), run(-days(9), -days(8), -days(8))},
       "watcher-restarted"},
      {"stopped, after a kill",
       {run(-hours(3), -hours(2), -hours(2)), run(-days(9), -days(8))},
       "watcher-started"},
      {"dies, 1", die(), "watcher-restarted"},
      {"dies, 2", die(), "watcher-restarted"},
      {"dies, 3", die(), ""},
      {"dies, 4", die(), "watcher-restarted"},
      {"dies, 5", die(), ""},
      {"dies, 6", die(), ""},
      {"dies, 7", die(), ""},
      {"dies, 8", die(), "watcher-restarted"},
  };
  for (const Case& c : cases) {
    CAPTURE(c.what);
    MadeUpMachine machine;
    machine.begin(c.earlier);
    CHECK(machine.said() == c.said);
    machine.pass(hours(1));
    CHECK(machine.said().empty());
  }
}

TEST_CASE("how long the daemon was away is reported") {
  MadeUpMachine killed;
  killed.begin({run(-days(2), -hours(36))});
  REQUIRE(killed.said() == "watcher-restarted");
  CHECK(killed.evidence("away_hours") == 36);
  CHECK(killed.evidence("last_alive_time") == unix_seconds(kNoon - hours(36)));
  CHECK(killed.evidence("kills_in_a_row") == 0);

  MadeUpMachine stopped;
  stopped.begin({run(-days(2), -hours(5), -hours(5))});
  REQUIRE(stopped.said() == "watcher-started");
  CHECK(stopped.evidence("away_hours") == 5);
  CHECK(stopped.evidence("stopped_time") == unix_seconds(kNoon - hours(5)));

  MadeUpMachine first;
  first.begin();
  REQUIRE(first.said() == "watcher-started");
  CHECK_FALSE(first.knows("away_hours"));
}

TEST_CASE("a clock that is behind the last run is reported, and gives no absence") {
  MadeUpMachine machine;
  machine.begin({run(-hours(1), hours(3))});
  REQUIRE(machine.said() == "watcher-restarted, clock-jumped");
  CHECK_FALSE(machine.knows("away_hours"));
  CHECK(machine.evidence("jump_seconds", 1) == -3 * 3600);
  CHECK(machine.evidence("last_alive_time", 1) == unix_seconds(kNoon + hours(3)));
  machine.pass(minutes(5));
  machine.now.wall += hours(50);  // and is corrected soon after
  machine.pass(minutes(50));
  CHECK(machine.said().empty());
  machine.pass(minutes(6));
  REQUIRE(machine.said() == "clock-jumped");
  CHECK(machine.evidence("jump_seconds") == 50 * 3600);
}

TEST_CASE("a step of the wall clock is reported, and nothing else is taken for one") {
  struct Case {
    const char* what;
    Duration wall;        // from one look to the next
    Duration since_boot;  // of CLOCK_BOOTTIME, which counts sleep and is slewed with the wall clock
    double jump_seconds;  // 0: nothing is reported
  };
  const std::vector<Case> cases{
      {"an ordinary look", seconds(10), seconds(10), 0},
      {"the machine slept for a night", hours(9), hours(9), 0},
      {"the loop hung", minutes(7), minutes(7), 0},
      {"slewed by 8 % for a minute, as the fastest do", milliseconds(64'800), seconds(60), 0},
      {"a leap second is inserted", seconds(9), seconds(10), 0},
      {"stepped by just a minute", seconds(70), seconds(10), 0},
      {"stepped forward", seconds(10) + milliseconds(60'001), seconds(10), 60.001},
      {"stepped back", seconds(-51), seconds(10), -61},
      {"first set after a boot without a clock of its own", days(20000), seconds(10), 20000 * 86400.0},
      {"slept, and was set on waking", hours(9), hours(8), 3600},
  };
  for (const Case& c : cases) {
    CAPTURE(c.what);
    MadeUpMachine machine;
    machine.begin();
    machine.pass(minutes(1));
    static_cast<void>(machine.said());
    machine.now.wall += c.wall;
    machine.now.since_boot += c.since_boot;
    machine.look();
    const Time jumped = machine.now.wall;
    machine.pass(hours(3));
    REQUIRE(machine.said() == (c.jump_seconds == 0 ? "" : "clock-jumped"));
    if (c.jump_seconds == 0) continue;
    CHECK(machine.evidence("jump_seconds") == Approx(c.jump_seconds - 10).margin(10));
    CHECK(machine.evidence("jumped_time") == unix_seconds(jumped));
  }
}

TEST_CASE("the size of a jump is that of the step") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  machine.now.wall += seconds(10) - hours(1);
  machine.now.since_boot += seconds(10);
  machine.look();
  REQUIRE(machine.said() == "clock-jumped");
  CHECK(machine.evidence("jump_seconds") == -3600);
}

TEST_CASE("a clock that is set back and forth is reported once an hour, by the net jump") {
  MadeUpMachine machine;
  machine.begin();
  machine.pass(minutes(1));
  static_cast<void>(machine.said());
  for (int i = 0; i < 20; ++i) {  // every minute, an hour forward and back
    machine.now.wall += hours(i % 2 == 0 ? 1 : -1);
    machine.pass(minutes(1));
  }
  REQUIRE(machine.said() == "clock-jumped");
  CHECK(machine.evidence("jump_seconds") == 3600);
  machine.pass(hours(2));
  REQUIRE(machine.said() == "clock-jumped");  // it was reported as an hour ahead, and no longer is
  CHECK(machine.evidence("jump_seconds") == -3600);
  machine.pass(hours(5));
  CHECK(machine.said().empty());
}

TEST_CASE("a nearly full disk is reported once, and once when there is room again") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  const auto with_free = [&](std::uint64_t mega, Duration d) {
    machine.now.disk->free_bytes = mega * kMega;
    machine.pass(d);
    return machine.said();
  };
  CHECK(with_free(51, hours(1)).empty());
  REQUIRE(with_free(49, hours(1)) == "disk-low");
  CHECK(machine.evidence("free_bytes") == 49e6);
  CHECK(machine.evidence("needed_bytes") == 50e6);
  CHECK(machine.evidence("database_bytes") == 40e6);
  CHECK_FALSE(machine.knows("days_left"));
  CHECK(with_free(20, hours(1)).empty());
  CHECK(with_free(74, hours(1)).empty());     // more than needed, but not yet for sure
  CHECK(with_free(76, minutes(9)).empty());   // and long enough
  CHECK(with_free(49, minutes(20)).empty());  // it was not
  CHECK(with_free(76, minutes(9)).empty());
  REQUIRE(with_free(76, minutes(2)) == "disk-low over");
  CHECK(machine.evidence("free_bytes") == 76e6);
  CHECK(with_free(51, hours(2)).empty());
  CHECK(with_free(49, seconds(10)) == "disk-low");
}

TEST_CASE("a disk that cannot be read reports nothing") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  machine.now.disk.reset();
  machine.pass(hours(1));
  CHECK(machine.said().empty());
}

TEST_CASE("a disk that fills is reported a month before it is full") {
  MadeUpMachine machine;
  machine.now.disk->free_bytes = 6'000 * kMega;
  machine.begin();
  static_cast<void>(machine.said());
  int reported_on = -1;
  for (int day = 0; day < 40 && reported_on < 0; ++day) {
    for (int hour = 0; hour < 24; ++hour) {  // 120 MB a day: full after 50 days
      machine.now.disk->free_bytes -= 5 * kMega;
      machine.pass(hours(1), minutes(10));
    }
    if (!machine.reported.empty()) reported_on = day;
  }
  REQUIRE(machine.said() == "disk-low");
  CHECK(reported_on == 20);
  CHECK(machine.evidence("days_left") == Approx(30).margin(0.1));
  CHECK(machine.evidence("needed_bytes") == Approx(3600e6).epsilon(0.01));
}

TEST_CASE("a lost broker is reported after a quarter of an hour, once, and when it is back") {
  MadeUpMachine machine;
  machine.begin();
  machine.pass(minutes(10));
  static_cast<void>(machine.said());
  const Time lost = machine.now.wall;
  machine.connected = false;
  machine.pass(minutes(14));
  CHECK(machine.said().empty());
  machine.pass(minutes(2));
  REQUIRE(machine.said() == "broker-lost");
  CHECK(machine.evidence("lost_since_time") == Approx(unix_seconds(lost) + 10));
  CHECK(machine.evidence("lost_hours") == Approx(0.25).margin(0.01));
  CHECK(machine.evidence("never_reached") == 0);
  machine.pass(days(2));
  CHECK(machine.said().empty());
  machine.connected = true;  // for less than a minute
  machine.pass(seconds(50));
  machine.connected = false;
  machine.pass(hours(3));
  CHECK(machine.said().empty());
  machine.connected = true;
  const Duration whole = machine.now.wall - lost;
  machine.pass(minutes(2));
  REQUIRE(machine.said() == "broker-lost over");
  CHECK(machine.evidence("lost_since_time") == Approx(unix_seconds(lost) + 10));
  CHECK(machine.evidence("lost_hours") == Approx(in_hours(whole)));
  machine.pass(days(1));
  CHECK(machine.said().empty());
}

TEST_CASE("a broker that was never reached is reported as lost, too") {
  MadeUpMachine machine;
  machine.connected = false;
  machine.begin();
  static_cast<void>(machine.said());
  machine.pass(minutes(14));
  CHECK(machine.said().empty());
  machine.pass(minutes(2));
  REQUIRE(machine.said() == "broker-lost");
  CHECK(machine.evidence("never_reached") == 1);
  CHECK(machine.evidence("lost_since_time") == Approx(unix_seconds(kNoon) + 10));
}

TEST_CASE("a connection of some seconds does not withdraw a lost broker") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  for (int i = 0; i < 15; ++i) {
    machine.connected = false;
    machine.pass(seconds(80));
    machine.connected = true;
    machine.pass(seconds(30));
  }
  CHECK(machine.said() == "broker-lost");
}

TEST_CASE("losses that are over within minutes are not reported") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  for (int i = 0; i < 50; ++i) {
    machine.connected = false;
    machine.pass(minutes(10));
    machine.connected = true;
    machine.pass(minutes(2));
  }
  CHECK(machine.said().empty());
}

TEST_CASE("time asleep does not count as time without a broker") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  machine.connected = false;
  machine.pass(minutes(1));
  machine.now.wall += hours(9);
  machine.now.since_boot += hours(9);
  machine.look();
  machine.pass(minutes(5));
  CHECK(machine.said().empty());
  machine.connected = true;
  machine.pass(minutes(5));
  CHECK(machine.said().empty());
}

TEST_CASE("the time of the broker's loss is by the clock as it is set now") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  machine.connected = false;
  machine.pass(minutes(10));
  machine.now.wall += days(3);  // the clock is set meanwhile
  machine.pass(minutes(6));
  REQUIRE(machine.said() == "clock-jumped, broker-lost");
  CHECK(machine.evidence("lost_since_time", 1) == Approx(unix_seconds(kNoon + days(3)) + 10));
  CHECK(machine.evidence("lost_hours", 1) < 0.3);
}

TEST_CASE("an alert of an earlier run is not raised again, but withdrawn when it is over") {
  MadeUpMachine machine({true, kNoon - hours(5), {}});
  machine.now.disk->free_bytes = 30 * kMega;
  machine.connected = false;
  machine.begin({run(-hours(9), -seconds(30), -seconds(30))});
  machine.pass(hours(1));
  CHECK(machine.said().empty());
  machine.now.disk->free_bytes = 300 * kMega;
  machine.connected = true;
  machine.pass(minutes(20));
  REQUIRE(machine.said() == "broker-lost over, disk-low over");
  CHECK(machine.evidence("lost_since_time") == unix_seconds(kNoon - hours(5)));
  CHECK(machine.evidence("lost_hours") == Approx(6).margin(0.01));
}

TEST_CASE("a clock that is behind its messages is reported once, with their time, and when it is right") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  const Time truth = kNoon + days(400);
  machine.shown = truth;
  machine.pass(minutes(4));
  CHECK(machine.said().empty());  // it may be set any moment
  machine.pass(minutes(2));
  REQUIRE(machine.said() == "clock-behind");
  CHECK(machine.time() - (truth + minutes(5)) >= Duration(0));
  CHECK(machine.time() - (truth + minutes(5)) <= seconds(10));
  CHECK(machine.evidence("message_time") == unix_seconds(machine.time()));
  CHECK(machine.evidence("clock_time") == Approx(unix_seconds(kNoon) + 300).margin(20));
  machine.pass(hours(5));
  CHECK(machine.said().empty());

  SECTION("set from the network") {
    machine.now.wall += days(400);
    machine.shown.reset();
    machine.look();
    REQUIRE(machine.said() == "clock-jumped, clock-behind over");
    CHECK(machine.time(1) == machine.now.wall);
    CHECK(machine.evidence("still_behind", 1) == 0);
  }
  SECTION("or its messages are taken although it was not set") {
    machine.shown.reset();
    machine.look();
    REQUIRE(machine.said() == "clock-behind over");
    CHECK(machine.evidence("still_behind") == 1);
    CHECK(machine.time() > truth);  // not before it was reported
  }
  machine.pass(hours(1));
  CHECK(machine.said().empty());
}

TEST_CASE("a clock that is set within minutes is not reported as late") {
  MadeUpMachine machine;
  machine.begin();
  static_cast<void>(machine.said());
  for (int boot = 0; boot < 3; ++boot) {
    machine.shown = machine.now.wall + hours(1);
    machine.pass(minutes(4));
    machine.shown.reset();
    machine.pass(minutes(4));
  }
  CHECK(machine.said().empty());
}

TEST_CASE("a late clock of an earlier run is not reported again, and over when the clock is right") {
  SelfWatch::OpenTrouble open;
  open.clock_behind = kNoon + days(400);
  MadeUpMachine machine(open);
  machine.begin({run(-hours(9), -seconds(30), -seconds(30))});
  machine.pass(minutes(10));
  machine.shown = kNoon + days(400);
  machine.pass(minutes(10));
  CHECK(machine.said().empty());
  machine.now.wall += days(401);
  machine.shown.reset();
  machine.look();
  CHECK(machine.said() == "clock-jumped, clock-behind over");
}
