#include "storage/salvage.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "verbs.h"

namespace gyle {
namespace {

struct SalvageOptions {
  std::filesystem::path from;
  std::filesystem::path to;
};

Exit run_salvage(const SalvageOptions& options, const CommonOptions& common) {
  const auto tables = salvage(options.from, options.to);
  if (!tables) return complain(tables.error());
  if (common.json) {
    nlohmann::ordered_json answer{{"file", options.to.string()}, {"tables", nlohmann::json::object()}};
    for (const SalvagedTable& table : tables.value()) {
      answer["tables"][table.name] = {{"rows", table.rows}, {"whole", table.whole}};
    }
    fmt::print("{}\n", answer.dump());
    return Exit::ok;
  }
  bool whole = true;
  fmt::print("{} holds what could be read of {}:\n", options.to.string(), options.from.string());
  for (const SalvagedTable& table : tables.value()) {
    fmt::print("{:>10} rows of {}{}\n", table.rows, table.name, table.whole ? "" : ", others are lost");
    whole = whole && table.whole;
  }
  fmt::print("{}\n", whole ? "No error was met; rows that are missing without a trace cannot be known."
                           : "How many rows are lost cannot be known. A backup may hold them.");
  fmt::print("Stop gylekeeperd, then `gylekeeper restore {}` puts it in the place of the database.\n",
             options.to.string());
  return Exit::ok;
}

}  // namespace

Verb salvage_verb() {
  const auto o = std::make_shared<SalvageOptions>();
  return {.name = "salvage",
          .about = "save what can still be read of a damaged database into a new one",
          .arguments = {{.name = "old",
                         .place = &o->from,
                         .about = "the damaged database; it is only read",
                         .required = true,
                         .offer = Offer::files},
                        {.name = "new",
                         .place = &o->to,
                         .about = "the new database; best on another disk",
                         .required = true,
                         .offer = Offer::files}},
          .notes =
              "First stop the daemon, as with `systemctl stop gylekeeper`. The rows saved of each table "
              "are counted. If there is a recent backup, restore that instead: a salvaged database may lack "
              "rows, and which ones cannot be known.",
          .examples = {"gylekeeper salvage /var/lib/gylekeeper/journal.db /media/stick/saved.db"},
          .run = [o](const CommonOptions& common) { return run_salvage(*o, common); }};
}

}  // namespace gyle
