#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "clock/system_clock.h"
#include "control_client.h"
#include "database_option.h"
#include "storage/backup.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct RestoreOptions {
  std::filesystem::path file;
  std::optional<std::filesystem::path> database;
};

Exit run_restore(const RestoreOptions& options, const CommonOptions& common) {
  const auto database = database_file(options.database, common);
  if (!database) return complain(database.error(), Exit::wrong_use);
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  if (ControlClient(socket.value()).get("/v1/display")) {
    return complain(Error{Errc::conflict,
                          "the daemon is running; stop it first, as with `systemctl stop gylekeeper`, and "
                          "start it again afterwards"});
  }
  const auto restored = restore(options.file, database.value(), SystemClock().now());
  if (!restored) return complain(restored.error());
  const auto& kept = restored.value().kept;
  if (common.json) {
    fmt::print("{{\"database\": {}, \"kept\": {}, {}}}\n", nlohmann::json(database.value().string()).dump(),
               kept ? nlohmann::json(kept->string()).dump() : "null", summary_json(restored.value().backup));
    return Exit::ok;
  }
  fmt::print("{} holds what {} held: {}.\n", database.value().string(), options.file.string(),
             summary_words(restored.value().backup));
  if (kept)
    fmt::print("What was there before is kept as {}; delete it when it is not missed.\n", kept->string());
  return Exit::ok;
}

}  // namespace

Verb restore_verb() {
  const auto o = std::make_shared<RestoreOptions>();
  return {.name = "restore",
          .about = "replace the daemon's database by a backup",
          .arguments = {{.name = "file",
                         .place = &o->file,
                         .about = "what `gylekeeper backup` wrote",
                         .required = true,
                         .offer = Offer::files},
                        database_argument(o->database)},
          .notes =
              "The backup is read whole first; one that is damaged or cut short changes nothing. It is "
              "refused while the daemon runs (`systemctl stop gylekeeper`) or anything else uses the "
              "database. The old one is kept "
              "beside it under its name and the date.",
          .examples = {"gylekeeper restore /media/stick/cellar-2026-03-14.db"},
          .run = [o](const CommonOptions& common) { return run_restore(*o, common); }};
}

}  // namespace gyle
