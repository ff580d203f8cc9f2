#include "database_option.h"

#include "tool_settings.h"

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

}  // namespace gyle
