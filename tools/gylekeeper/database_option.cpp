#include "database_option.h"

#include <fmt/format.h>

#include "tool_settings.h"
#include "wording/format.h"

namespace gyle {

Result<std::filesystem::path> database_file(const std::optional<std::filesystem::path>& given,
                                            const CommonOptions& common) {
  if (given) return *given;
  BOOST_OUTCOME_TRY(settings, tool_settings(common));
  return settings.storage.database;
}

Argument database_argument(std::optional<std::filesystem::path>& place) {
  return {.name = "--database",
          .place = &place,
          .about = "the daemon's database, when it is not where the configuration says",
          .offer = Offer::files};
}

namespace {

std::string counted(std::int64_t count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

}  // namespace

std::string summary_words(const DatabaseSummary& summary) {
  return fmt::format("{}, {}, {} and {} in {}", counted(summary.batches, "batch", "batches"),
                     counted(summary.readings, "reading", "readings"),
                     counted(summary.alerts, "alert", "alerts"), counted(summary.notes, "note", "notes"),
                     show_bytes(static_cast<double>(summary.bytes)));
}

std::string summary_json(const DatabaseSummary& summary) {
  return fmt::format(
      R"("schema_version": {}, "bytes": {}, "batches": {}, "readings": {}, "alerts": {}, "notes": {})",
      summary.version, summary.bytes, summary.batches, summary.readings, summary.alerts, summary.notes);
}

}  // namespace gyle
