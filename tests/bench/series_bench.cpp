// What a look at a chart costs: 60 days of a hydrometer and a probe, a reading a minute each, in a real
// database.

#include <benchmark/benchmark.h>

#include <memory>

#include "app/daemon_cellar.h"
#include "base/rfc3339.h"
#include "clock/message_clock.h"
#include "control/routes.h"
#include "sixty_days.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::bench;

namespace {

struct Cellar60 {
  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  const AlertRouting routing{{{"log", {}, false, false, false, LogSettings{}}}};
  MessageClock clock;
  std::unique_ptr<Watch> watch;
  std::unique_ptr<Announcer> announcer;
  std::unique_ptr<DaemonCellar> cellar;

  Cellar60() {
    const Recording recording = sixty_days(minutes(1));
    Journal journal(database);
    Message message;
    Decoded decoded;
    for (const Reading& reading : recording.readings) {  // a transaction each would take minutes
      message.received = reading.time;
      decoded.readings.push_back(reading);
      if (decoded.readings.size() < 2000) continue;
      if (!journal.record(message, decoded)) std::abort();
      decoded.readings.clear();
    }
    if (!journal.record(message, decoded)) std::abort();
    clock.observe(message.received);
    watch = opened();
    if (!watch->pitch("left", recording.spec)) std::abort();
    announcer = std::make_unique<Announcer>(database, routing, [] {});
    cellar = std::make_unique<DaemonCellar>(*watch, *announcer, routing, database, clock, Time{}, "");
  }

  std::unique_ptr<Watch> opened() {
    auto one = std::make_unique<Watch>(database, routing, [] {});
    if (!one->configure({{"left", {"hydrometer", "probe"}}}, {}) || !one->open()) std::abort();
    return one;
  }
};

Cellar60& cellar60() {
  static Cellar60 cellar;
  return cellar;
}

void ask(benchmark::State& state, const std::string& target) {
  Cellar60& c = cellar60();
  std::size_t bytes = 0;
  for (auto _ : state) {
    const HttpResponse response = respond({"GET", target, "", ""}, *c.cellar, {});
    if (response.status != 200) state.SkipWithError(response.body.c_str());
    bytes = response.body.size();
  }
  state.counters["bytes"] = static_cast<double>(bytes);
}

void series(benchmark::State& state) {
  ask(state, "/v1/batches/left/series?points=" + std::to_string(state.range(0)));
}
BENCHMARK(series)->ArgName("points")->Arg(100)->Arg(600)->Arg(2000)->Unit(benchmark::kMillisecond);

void series_of_a_day(benchmark::State& state) {
  const Time day = cellar60().clock.now() - hours(24 * 30);
  ask(state, "/v1/batches/left/series?points=2000&from=" + format_rfc3339(day) +
                 "&to=" + format_rfc3339(day + hours(24)));
}
BENCHMARK(series_of_a_day)->Unit(benchmark::kMillisecond);

void curve_page(benchmark::State& state) { ask(state, "/v1/batches/left/curve"); }
BENCHMARK(curve_page)->Unit(benchmark::kMillisecond);

// What every look would cost if the history were judged again for it, and what a restart does.
void judged_again(benchmark::State& state) {
  Cellar60& c = cellar60();
  for (auto _ : state) benchmark::DoNotOptimize(c.opened());
}
BENCHMARK(judged_again)->Unit(benchmark::kMillisecond)->Iterations(3);

}  // namespace
