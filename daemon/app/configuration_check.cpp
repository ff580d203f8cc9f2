#include "app/configuration_check.h"

#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>

#include "app/channels.h"
#include "clock/system_clock.h"
#include "config/batch_blocks.h"
#include "config/read_file.h"
#include "config/toml_value.h"
#include "mqtt/host_name.h"

namespace gyle {
namespace {

class Checker {
 public:
  Checker(const TomlValue& document, const std::string& file) : document_(document), file_(file) {}

  void problem(const std::string& key, const std::string& what) { result.problems.push_back(at(key, what)); }

  // true when the file is there and holds something, or there is none to be read.
  bool secret(const std::string& key, const std::filesystem::path& path, bool may_be_empty = false,
              std::size_t shortest = 0) {
    if (path.empty()) return true;
    const auto read = read_secret(path);
    if (!read) {
      if (may_be_empty && read.error().code == Errc::missing) return true;
      if (path.is_relative() && std::getenv("CREDENTIALS_DIRECTORY") == nullptr) {
        result.notes.push_back(
            at(key, fmt::format("\"{}\" is one of systemd's credentials; only the unit itself "
                                "can check it",
                                path.string())));
      } else {
        problem(key, read.error().message);
      }
      return false;
    }
    if (read.value().size() < shortest) {
      problem(key, fmt::format(
                       "the token in {} has {} characters and needs {} or more; make one with openssl rand "
                       "-hex 16",
                       path.string(), read.value().size(), shortest));
      return false;
    }
    return true;
  }

  bool readable(const std::string& key, const std::filesystem::path& path) {
    if (path.empty()) return true;
    const auto read = read_file(path);
    if (!read) problem(key, read.error().message);
    return read.has_value();
  }

  void folder_of(const std::string& key, const std::filesystem::path& path,
                 const std::filesystem::path& usual) {
    const std::filesystem::path folder = std::filesystem::absolute(path).parent_path();
    std::error_code error;
    if (folder == usual.parent_path() || std::filesystem::is_directory(folder, error)) return;
    problem(key, fmt::format("there is no folder {}", folder.string()));
  }

  void channel(const ChannelSettings& channel, const std::string& block) {
    bool files = true;
    if (const auto* webhook = std::get_if<WebhookSettings>(&channel.kind)) {
      files = secret(block + ".token_file", webhook->token_file) && files;
      files = secret(block + ".signing_key_file", webhook->signing_key_file) && files;
      files = readable(block + ".ca_file", webhook->ca_file) && files;
    } else if (const auto* mail = std::get_if<EmailSettings>(&channel.kind)) {
      files = secret(block + ".password_file", mail->password_file) && files;
      files = readable(block + ".ca_file", mail->ca_file) && files;
    }
    if (!files) return;
    if (const auto usable = check_channels({channel}, SystemClock()); !usable)
      problem(block, usable.error().message);
  }

  ConfigurationCheck result;

 private:
  std::string at(const std::string& key, const std::string& what) const {
    return fmt::format("{}:{}: {}: {}", file_, line_of(document_, key), key, what);
  }

  const TomlValue& document_;
  const std::string& file_;
};

}  // namespace

ConfigurationCheck check_configuration(const Settings& settings, std::string_view text,
                                       const std::string& file, CheckDepth depth) {
  const auto document = parse_toml(text, file);
  if (!document) return {{document.error().message}, {}};
  Checker check(document.value(), file);
  check.secret("mqtt.password_file", settings.mqtt.password_file, true);
  for (std::size_t i = 0; i < settings.alerts.channels.size(); ++i) {
    check.channel(settings.alerts.channels[i], fmt::format("channel[{}]", i + 1));
  }
  if (depth == CheckDepth::all) {
    check.readable("mqtt.ca_file", settings.mqtt.ca_file);
    if (settings.page.enabled) {
      check.secret("page.token_file", settings.page.token_file, false, kShortestToken);
      check.secret("page.certificate", settings.page.certificate);
      check.secret("page.key", settings.page.key);
    }
    check.folder_of("storage.database", settings.storage.database, StorageSettings{}.database);
    check.folder_of("control.socket", settings.control.socket, ControlSettings{}.socket);
    if (const auto known = check_host_known(settings.mqtt.broker); !known) {
      check.problem("mqtt.broker", known.error().message);
    }
  }
  return std::move(check.result);
}

}  // namespace gyle
