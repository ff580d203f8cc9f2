#include "config/channel_blocks.h"

#include <fmt/format.h>

#include <algorithm>

#include "notices/endpoint.h"
#include "notices/mail_message.h"
#include "notices/webhook_form.h"
#include "wording/system_alert_kind.h"

namespace gyle {
namespace {

Result<std::string> checked_address(std::string_view text, std::initializer_list<std::string_view> schemes) {
  BOOST_OUTCOME_TRYV(parse_endpoint(text, schemes));
  return std::string(text);
}

Result<std::string> checked_mail(std::string_view text) {
  if (is_mail_address(text)) return std::string(text);
  return fail(
      Errc::malformed,
      fmt::format("\"{}\" is no mail address; write the address alone, \"brewer@example.org\"", text));
}

// Checks every element.
template <class Check>
void read_checked(TomlTable& table, std::string_view key, std::vector<std::string>& into, Check check) {
  if (!table.read(key, into)) return;
  for (const std::string& one : into) {
    if (const auto checked = check(one); !checked) table.problem(key, checked.error().message);
  }
}

Result<Severity> checked_severity(std::string_view text) {
  if (const auto severity = severity_named(text)) return *severity;
  return fail(Errc::malformed,
              fmt::format("\"{}\" is no severity; write \"emergency\", \"alert\", \"critical\", "
                          "\"error\", \"warning\", \"notice\", \"informational\" or \"debug\"",
                          text));
}

Status checked_kind(std::string_view text) {
  if (alert_kind_named(text) || system_alert_kind_named(text)) return success();
  return fail(Errc::malformed, fmt::format("there is no alert \"{}\"", text));
}

void read_file_name(TomlTable& table, std::string_view key, std::filesystem::path& into) {
  std::string name;
  if (table.read(key, name)) into = name;
}

void read_webhook(TomlTable& table, WebhookSettings& webhook) {
  table.must_have("url", "\"https://alerts.example.org/beer\"");
  table.read_as("url", webhook.url, [](std::string_view text) {
    return checked_address(text, {"http", "https"});
  });
  table.read("headers", webhook.headers);
  table.read("body", webhook.body);
  table.read("content_type", webhook.content_type);
  read_file_name(table, "token_file", webhook.token_file);
  read_file_name(table, "signing_key_file", webhook.signing_key_file);
  read_file_name(table, "ca_file", webhook.ca_file);
  if (webhook.url.empty()) return;
  if (const auto form = WebhookForm::parse(webhook); !form) table.problem("", form.error().message);
}

void read_email(TomlTable& table, EmailSettings& email) {
  table.must_have("server", "\"smtp://mail.example.org:587\"");
  table.read_as("server", email.server, [](std::string_view text) {
    return checked_address(text, {"smtp", "smtps"});
  });
  table.must_have("from", "\"cellar@example.org\"");
  table.read_as("from", email.from, checked_mail);
  table.must_have("to", "[\"brewer@example.org\"]");
  read_checked(table, "to", email.to, checked_mail);
  if (table.has("to") && email.to.empty()) table.problem("to", "at least one address is expected");
  table.read("username", email.username);
  read_file_name(table, "password_file", email.password_file);
  if (email.username.empty() != email.password_file.empty()) {
    table.problem("username", "a login needs both username and password_file");
  }
  read_file_name(table, "ca_file", email.ca_file);
  table.read("picture", email.picture);
  if (email.server.empty() || email.from.empty() || email.to.empty()) return;
  if (const auto right = check_email(email); !right) table.problem("", right.error().message);
}

void read_channel(TomlTable& table, ChannelSettings& channel) {
  table.must_have("name", "\"phone\"");
  if (table.read("name", channel.name) && (channel.name.empty() || channel.name.size() > 64)) {
    table.problem("name", "1 to 64 characters");
  }
  std::string kind;
  table.must_have("kind", "\"webhook\"");
  table.read("kind", kind);
  if (kind == "log") {
    channel.kind = LogSettings{};
  } else if (kind == "mqtt") {
    MqttChannelSettings mqtt;
    table.read_as("topic", mqtt.topic, checked_topic);
    channel.kind = mqtt;
  } else if (kind == "webhook") {
    WebhookSettings webhook;
    read_webhook(table, webhook);
    channel.kind = webhook;
  } else if (kind == "e-mail") {
    EmailSettings email;
    read_email(table, email);
    channel.kind = email;
  } else if (table.has("kind")) {
    table.problem("kind", fmt::format("\"{}\" is no kind of channel; write \"log\", \"mqtt\", \"webhook\" or "
                                      "\"e-mail\"",
                                      kind));
  }
  table.read_as("at_least", channel.filter.at_least, checked_severity, "\"warning\"");
  read_checked(table, "alerts", channel.filter.kinds, checked_kind);
  table.read("vessels", channel.filter.vessels);
  table.read("batches", channel.filter.batches);
  table.read("reminders", channel.reminders);
  table.read("digest", channel.digest);
  table.read("one_by_one", channel.one_by_one);
}

}  // namespace

Result<std::pair<std::string, Severity>> parse_kind_severity(std::string_view text) {
  const std::size_t colon = std::min(text.find(':'), text.size());
  const std::string_view kind = text.substr(0, colon);
  std::string_view word = text.substr(std::min(colon + 1, text.size()));
  while (word.starts_with(' ')) word.remove_prefix(1);
  BOOST_OUTCOME_TRYV(checked_kind(kind));
  BOOST_OUTCOME_TRY(severity, checked_severity(word));
  return std::pair(std::string(kind), severity);
}

Result<std::string> checked_topic(std::string_view text) {
  if (text.empty() || text.size() > 1024 || text.front() == '$' ||
      text.find_first_of("+#") != std::string_view::npos) {
    return fail(Errc::malformed,
                "a topic to publish to is expected, without \"+\", \"#\" and a leading \"$\"");
  }
  return std::string(text);
}

void read_channels(TomlTable& root, std::vector<ChannelSettings>& channels, TomlProblems& problems) {
  const auto blocks = root.tables("channel");
  if (blocks.empty()) return;
  channels.clear();
  for (const TomlValue* block : blocks) {
    TomlTable table(*block, fmt::format("channel[{}]", channels.size() + 1), problems);
    ChannelSettings channel;
    read_channel(table, channel);
    const auto same = std::find_if(channels.begin(), channels.end(),
                                   [&](const ChannelSettings& other) { return other.name == channel.name; });
    if (same != channels.end()) {
      table.problem("name", fmt::format("another channel is called \"{}\" already", channel.name));
    }
    table.finish();
    channels.push_back(std::move(channel));
  }
}

}  // namespace gyle
