// Judges many simulated batches and prints how well the core did. See --help.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <atomic>
#include <cstdio>
#include <thread>

#include "simulation/dump.h"
#include "simulation/scoring.h"
#include "simulation/simulated_batch.h"
#include "simulation/table.h"

using namespace gyle;
using namespace gyle::simulation;

namespace {

struct Options {
  Split split = Split::tuning;
  std::uint64_t batches = 500;
  std::uint64_t first = 1;
  std::optional<std::string> kind;
  std::optional<std::uint64_t> dump_seed;
  std::string dump_folder;
  bool kinds = false;
  bool families = false;
  bool calibration = false;
  bool worst = true;
  unsigned threads = 2;
};

std::vector<Judged> judge_all(const Options& options) {
  std::vector<Judged> judged(options.batches);
  std::atomic<std::uint64_t> next{0};
  const auto work = [&] {
    for (std::uint64_t i = next++; i < options.batches; i = next++) {
      const SimulatedBatch batch = simulate(options.split, options.first + i, options.kind);
      judged[i] = Judged{batch.kind,    batch.seed,          batch.family,
                         batch.healthy, batch.never_started, score(batch, judge(batch))};
    }
  };
  std::vector<std::jthread> pool;
  for (unsigned i = 0; i < options.threads; ++i) pool.emplace_back(work);
  pool.clear();
  return judged;
}

void print_table(const std::vector<Judged>& judged) {
  fmt::print("  {:82} {:44} {}\n", "quantity", "reached", "reach");
  for (const Row& row : rows_of(judged)) {
    fmt::print("{} {:82} {:44} {}\n", row.goal.empty() ? ' ' : (row.met ? '+' : '-'), row.quantity,
               row.reached, row.goal);
  }
}

int run(const Options& options) {
  if (options.dump_seed) {
    const SimulatedBatch batch = simulate(options.split, *options.dump_seed, options.kind);
    const Status written = dump(batch, judge(batch), options.dump_folder);
    if (!written) {
      fmt::print(stderr, "{}\n", written.error().message);
      return 1;
    }
    return 0;
  }
  const std::vector<Judged> judged = judge_all(options);
  std::size_t healthy = 0;
  for (const Judged& batch : judged) healthy += batch.healthy ? 1U : 0U;
  fmt::print("{} batches, {} of them healthy, {} split\n", judged.size(), healthy, name(options.split));
  print_table(judged);
  if (options.kinds) fmt::print("\n{}", by_kind(judged));
  if (options.families) fmt::print("\n{}", by_family(judged));
  if (options.calibration) fmt::print("\n{}", calibration(judged));
  if (options.worst) fmt::print("\n{}", worst(judged));
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  std::string split = "tuning";
  std::vector<std::string> dump_arguments;
  CLI::App app{
      "Judges simulated batches whose truth is known and prints what was reached beside what is asked."};
  app.add_option(
         "--split", split,
         "tuning; validation, to choose between variants; held-out, to report only; wide, tuning with real "
         "sensors; reported, the same to report only")
      ->check(CLI::IsMember({"tuning", "validation", "held-out", "wide", "reported"}));
  app.add_option("--batches", options.batches, "how many")->check(CLI::Range(1, 1000000));
  app.add_option("--first", options.first, "the first seed");
  app.add_option("--kind", options.kind, "only this kind of batch")->check(CLI::IsMember(kind_names()));
  app.add_flag("--by-kind", options.kinds, "a line per kind of batch as well");
  app.add_flag("--by-family", options.families, "a line per kinetic family as well");
  app.add_flag(
      "--calibration", options.calibration,
      "by which factors the 80 % intervals would hold eight in ten, each kinetic family left out once");
  app.add_flag("!--no-worst", options.worst, "leave out the list of seeds that went wrong");
  app.add_option("--threads", options.threads)->check(CLI::Range(1, 64));
  app.add_option("--dump", dump_arguments,
                 "SEED FOLDER: write that batch and what the core said of it, judge nothing else")
      ->expected(2);
  CLI11_PARSE(app, argc, argv);
  for (const Split one : {Split::tuning, Split::validation, Split::held_out, Split::wide, Split::reported}) {
    if (split == name(one)) options.split = one;
  }
  if (!dump_arguments.empty()) {
    options.dump_seed = std::stoull(dump_arguments[0]);
    options.dump_folder = dump_arguments[1];
  }
  return run(options);
}
