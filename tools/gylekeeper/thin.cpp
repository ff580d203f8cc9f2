#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "app/thin_readings.h"
#include "clock/system_clock.h"
#include "control_client.h"
#include "database_option.h"
#include "storage/backup.h"
#include "storage/database_lock.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct ThinOptions {
  std::optional<std::filesystem::path> backup;
  std::optional<std::filesystem::path> database;
  std::uint64_t days = 365;
  std::uint64_t minutes = 15;
  std::optional<std::string> batch;
  bool count = false;
};

double megabytes(std::uintmax_t bytes) { return static_cast<double>(bytes) / 1e6; }

Exit run_thin(const ThinOptions& options, const CommonOptions& common) {
  if (!options.backup && !options.count) {
    return complain(
        Error{Errc::malformed,
              "give the name of a file for a backup, which is made first; or --count, to see what "
              "would be removed"});
  }
  const auto database = database_file(options.database, common);
  if (!database) return complain(database.error(), Exit::wrong_use);
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  if (ControlClient(socket.value()).get("/v1/display")) {
    return complain(Error{Errc::conflict,
                          "the daemon is running; stop it first, as with `systemctl stop gylekeeper`, and "
                          "start it again afterwards"});
  }
  std::error_code ignored;
  if (!std::filesystem::exists(database.value(), ignored)) {
    return complain(Error{Errc::not_found, fmt::format("there is no file {}", database.value().string())});
  }
  const auto lock = DatabaseLock::take(database.value());
  if (!lock) return complain(lock.error());
  if (!options.count) {
    if (const auto made = back_up(database.value(), *options.backup); !made) return complain(made.error());
  }
  auto opened = Database::open(database.value());
  if (!opened) return complain(opened.error());
  JournalThinning thinning(opened.value());
  const auto size = [&] { return std::filesystem::file_size(database.value(), ignored); };
  const std::uintmax_t before = size();
  const ThinningRule rule{SystemClock().now() - hours(24 * static_cast<std::int64_t>(options.days)),
                          minutes(static_cast<std::int64_t>(options.minutes))};
  const auto thinned = thin_readings(opened.value(), rule, options.batch, !options.count);
  if (!thinned) return complain(thinned.error());
  Status smaller = success();
  if (!options.count && !thinned.value().empty()) smaller = thinning.compact();
  const std::uintmax_t after = size();

  if (common.json) {
    nlohmann::ordered_json answer{
        {"backup", options.count ? nlohmann::json() : nlohmann::json(options.backup->string())},
        {"counted_only", options.count},
        {"bytes_before", before},
        {"bytes_after", after},
        {"batches", nlohmann::json::array()}};
    for (const ThinnedBatch& one : thinned.value()) {
      answer["batches"].push_back({{"id", one.id},
                                   {"name", one.name},
                                   {"readings_before", one.readings.before},
                                   {"readings_after", one.readings.after}});
    }
    fmt::print("{}\n", answer.dump());
    return Exit::ok;
  }
  for (const ThinnedBatch& one : thinned.value()) {
    fmt::print("batch {}, \"{}\": {} of {} readings {}\n", one.id, one.name, one.readings.after,
               one.readings.before, options.count ? "would stay" : "stay");
  }
  if (thinned.value().empty()) {
    fmt::print("Nothing {} removed: no such batch has readings to spare.\n",
               options.count ? "would be" : "was");
    return Exit::ok;
  }
  if (options.count) return Exit::ok;
  if (smaller) {
    fmt::print("The database had {:.1f} MB and has {:.1f} MB.\n", megabytes(before), megabytes(after));
  } else {
    fmt::print(
        "The database keeps its size of {:.1f} MB ({}); what is free in it is used for new readings.\n",
        megabytes(after), smaller.error().message);
  }
  fmt::print("All of the readings are in {}.\n", options.backup->string());
  return Exit::ok;
}

}  // namespace

Verb thin_verb() {
  const auto o = std::make_shared<ThinOptions>();
  return {
      .name = "thin",
      .about = "make the database smaller: keep fewer raw readings of batches packaged long ago",
      .arguments = {{.name = "backup",
                     .place = &o->backup,
                     .about = "where a copy of everything goes first; best on another disk",
                     .offer = Offer::files},
                    {.name = "--older-than",
                     .place = &o->days,
                     .about = "how long ago the batches were packaged at least, in days",
                     .value = "DAYS",
                     .check = whole_number(1, 36'500)},
                    {.name = "--every",
                     .place = &o->minutes,
                     .about = "one reading of each quantity of each sensor stays in so many minutes",
                     .value = "MINUTES",
                     .check = whole_number(1, 1440)},
                    {.name = "--batch",
                     .place = &o->batch,
                     .about = "only this one, by its number or name; refused while it is in its vessel",
                     .value = "BATCH"},
                    {.name = "--count", .place = &o->count, .about = "only say how many readings would stay"},
                    database_argument(o->database)},
      .notes =
          "Nothing is removed unless this is asked for. First stop the daemon, as with `systemctl stop "
          "gylekeeper`. How each batch ended, its alerts, notes, hand samples and its curve, as evaluated "
          "from all of "
          "its readings, stay as they are. `gylekeeper export` then writes what is left, and an entry that "
          "is "
          "amended later is evaluated with what is left. A batch is passed over when fewer than 10,000 "
          "readings could be "
          "removed. When it has ended, the file is made smaller, which needs as much free room as it has.",
      .examples = {"gylekeeper thin --count",
                   "gylekeeper thin /media/stick/all-2026.db --older-than 730 --every 30"},
      .run = [o](const CommonOptions& common) { return run_thin(*o, common); }};
}

}  // namespace gyle
