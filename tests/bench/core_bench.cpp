// What a restart costs: months of minute readings through the core, forecasts and decisions included.

#include <benchmark/benchmark.h>

#include "fermentation/tracker.h"
#include "sixty_days.h"

using namespace gyle;
using namespace gyle::bench;

namespace {

void core_sixty_days(benchmark::State& state) {
  const Recording recording = sixty_days(minutes(state.range(0)));
  for (auto _ : state) {
    Tracker tracker(recording.spec);
    for (const Reading& reading : recording.readings) benchmark::DoNotOptimize(tracker.advance(reading));
  }
  const auto readings = static_cast<double>(recording.readings.size());
  state.counters["readings"] = readings;
  state.counters["s_per_reading"] = benchmark::Counter(
      readings, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(core_sixty_days)->ArgName("minutes")->Arg(1)->Arg(15)->Arg(60)->Unit(benchmark::kMillisecond);

// What a status line, a page or `explain` costs.
void core_view(benchmark::State& state) {
  const Recording recording = sixty_days(minutes(15));
  Tracker tracker(recording.spec);
  for (std::size_t i = 0; i < recording.readings.size() / 3; ++i) tracker.advance(recording.readings[i]);
  for (auto _ : state) benchmark::DoNotOptimize(tracker.view());
}
BENCHMARK(core_view)->Unit(benchmark::kMicrosecond);

// What a copy of a running tracker costs, as a what-if makes one.
void core_copy(benchmark::State& state) {
  const Recording recording = sixty_days(minutes(1));
  Tracker tracker(recording.spec);
  for (std::size_t i = 0; i < recording.readings.size() / 3; ++i) tracker.advance(recording.readings[i]);
  for (auto _ : state) {
    Tracker copy(tracker);
    benchmark::DoNotOptimize(copy);
  }
}
BENCHMARK(core_copy)->Unit(benchmark::kMicrosecond);

}  // namespace
