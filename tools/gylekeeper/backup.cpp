#include "storage/backup.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "database_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct BackupOptions {
  std::filesystem::path file;
  std::optional<std::filesystem::path> database;
  bool overwrite = false;
};

Exit run_backup(const BackupOptions& options, const CommonOptions& common) {
  const auto database = database_file(options.database, common);
  if (!database) return complain(database.error(), Exit::wrong_use);
  const auto made = back_up(database.value(), options.file, options.overwrite);
  if (!made) return complain(made.error());
  if (common.json) {
    fmt::print("{{\"file\": {}, {}}}\n", nlohmann::json(options.file.string()).dump(),
               summary_json(made.value()));
  } else {
    fmt::print("{} holds {}, read again and found whole.\n", options.file.string(),
               summary_words(made.value()));
  }
  return Exit::ok;
}

}  // namespace

Verb backup_verb() {
  const auto o = std::make_shared<BackupOptions>();
  return {
      .name = "backup",
      .about = "copy everything that was recorded into one file while the daemon runs",
      .arguments = {{.name = "file",
                     .place = &o->file,
                     .about = "where the copy goes; best on another disk",
                     .required = true,
                     .offer = Offer::files},
                    database_argument(o->database),
                    {.name = "--overwrite",
                     .place = &o->overwrite,
                     .about = "replace an existing file of that name; refused without this option"}},
      .notes =
          "The copy shows the database at one moment. It is flushed to disk and verified before it gets its "
          "name; until then it is called FILE.partial. It needs permission to read the database, as with "
          "sudo. `gylekeeper restore` puts it back. The configuration is not in it.",
      .examples = {"gylekeeper backup /media/stick/cellar-2026-03-14.db"},
      .run = [o](const CommonOptions& common) { return run_backup(*o, common); }};
}

}  // namespace gyle
