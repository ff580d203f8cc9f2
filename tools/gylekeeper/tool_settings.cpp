#include "tool_settings.h"

#include "clock/local_time.h"
#include "config/settings_file.h"

namespace gyle {
namespace {

// Absent when there is none, or none that is ours to read, in the usual place.
Result<std::optional<Settings>> configured(const CommonOptions& common) {
  auto settings = load_settings(common.config.value_or("/etc/gylekeeper/gylekeeper.toml"));
  if (settings) return std::optional(std::move(settings.value()));
  const Errc code = settings.error().code;
  if (!common.config && (code == Errc::not_found || code == Errc::refused)) return std::optional<Settings>();
  return settings.error();
}

}  // namespace

Result<Settings> tool_settings(const CommonOptions& common) {
  BOOST_OUTCOME_TRY(settings, configured(common));
  return std::move(settings).value_or(Settings{});
}

Result<std::string> brewers_time_zone(const CommonOptions& common) {
  BOOST_OUTCOME_TRY(settings, configured(common));
  return settings ? settings->display.time_zone : machine_time_zone();
}

Result<std::filesystem::path> control_socket(const CommonOptions& common) {
  if (common.socket) return *common.socket;
  BOOST_OUTCOME_TRY(settings, tool_settings(common));
  return settings.control.socket;
}

}  // namespace gyle
