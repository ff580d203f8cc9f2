#include <fmt/format.h>

#include "database_option.h"
#include "storage/backup.h"
#include "verbs.h"

namespace gyle {
namespace {

struct CheckOptions {
  std::optional<std::filesystem::path> database;
};

Exit run_check(const CheckOptions& options, const CommonOptions& common) {
  const auto database = database_file(options.database, common);
  if (!database) return complain(database.error(), Exit::wrong_use);
  const auto found = check_database_file(database.value());
  if (!found) return complain(found.error());
  if (common.json) {
    fmt::print("{{\"whole\": true, {}}}\n", summary_json(found.value()));
  } else {
    fmt::print("{} is whole. It holds {}.\n", database.value().string(), summary_words(found.value()));
  }
  return Exit::ok;
}

}  // namespace

Verb check_verb() {
  const auto o = std::make_shared<CheckOptions>();
  return {.name = "check",
          .about = "read the whole database and report whether it is damaged, while the daemon runs",
          .arguments = {database_argument(o->database)},
          .notes =
              "Nothing is changed. It needs permission to read the database, as with sudo. When the database "
              "is damaged it lists what was found and ends with exit code 1: `gylekeeper restore` puts a "
              "backup in its place, `gylekeeper salvage` saves what can still be read.",
          .examples = {"gylekeeper check"},
          .run = [o](const CommonOptions& common) { return run_check(*o, common); }};
}

}  // namespace gyle
