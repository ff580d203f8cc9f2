#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "fermentation/decision.h"

namespace gyle {

// Which alerts a channel takes. Empty lists: all.
struct AlertFilter {
  Severity at_least = Severity::debug;
  std::vector<std::string> kinds;
  std::vector<std::string> vessels;
  std::vector<std::string> batches;  // names

  // System alerts pass any list of vessels and batches.
  bool takes(Severity severity, std::string_view kind, std::string_view vessel, std::string_view batch) const;
};

struct LogSettings {};

struct MqttChannelSettings {
  std::string topic = "gylekeeper/alert";  // + /<vessel>/<kind>
};

// HTTP POST. Secrets are in files; a name without a leading "/" is one of systemd's credentials.
struct WebhookSettings {
  std::string url;                   // http:// or https://, without user or password
  std::vector<std::string> headers;  // "Name: value", values with placeholders like those of `body`
  // Empty: CloudEvents 1.0, structured mode. Else "{text}", "{title}", ... are replaced
  // (notices/body_template.h).
  std::string body;
  std::string content_type = "text/plain; charset=utf-8";  // of `body`
  std::filesystem::path token_file;                        // sent as "Authorization: Bearer ..."
  std::filesystem::path signing_key_file;                  // HMAC-SHA-256 of the body
  std::filesystem::path ca_file;                           // certificates to trust; empty: the system's
};

struct EmailSettings {
  std::string server;  // smtps://HOST[:465], or smtp://HOST[:587] with STARTTLS
  std::string from;    // addresses, without names
  std::vector<std::string> to;
  std::string username;  // empty: no login
  std::filesystem::path password_file;
  std::filesystem::path ca_file;
  bool picture = true;  // the curve of the batch, attached
};

struct ChannelSettings {
  std::string name;  // under which its deliveries wait in the outbox
  AlertFilter filter;
  bool reminders = true;
  bool digest = true;
  bool one_by_one = false;  // for a machine behind a webhook or a mailbox
  std::variant<LogSettings, MqttChannelSettings, WebhookSettings, EmailSettings> kind;

  // Machines and logs read one thing at a time, at any hour; people are spared.
  bool for_people() const { return kind.index() >= 2 && !one_by_one; }
};

}  // namespace gyle
