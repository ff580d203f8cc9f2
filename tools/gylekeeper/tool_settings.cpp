#include "tool_settings.h"

#include "config/settings_file.h"

namespace gyle {

Result<Settings> tool_settings(const CommonOptions& common) {
  if (common.config) return load_settings(*common.config);
  auto settings = load_settings("/etc/gylekeeper/gylekeeper.toml");
  if (!settings && (settings.error().code == Errc::not_found || settings.error().code == Errc::refused)) {
    return Settings{};
  }
  return settings;
}

Result<std::filesystem::path> control_socket(const CommonOptions& common) {
  if (common.socket) return *common.socket;
  BOOST_OUTCOME_TRY(settings, tool_settings(common));
  return settings.control.socket;
}

}  // namespace gyle
