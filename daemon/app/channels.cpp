#include "app/channels.h"

#include <fmt/format.h>

#include "alerts/channels/email_channel.h"
#include "alerts/channels/log_channel.h"
#include "alerts/channels/mqtt_channel.h"
#include "alerts/channels/webhook_channel.h"
#include "config/read_file.h"

namespace gyle {
namespace {

Result<std::string> secret(const std::filesystem::path& file) {
  return file.empty() ? Result<std::string>(std::string()) : read_secret(file);
}

struct Opener {
  const DisplaySettings& display;
  MqttLink* link;  // absent when only the rest is checked
  const Clock& clock;

  using Opened = Result<std::unique_ptr<Channel>>;

  Opened operator()(const LogSettings&) const { return std::unique_ptr<Channel>(new LogChannel(display)); }
  Opened operator()(const MqttChannelSettings& settings) const {
    if (link == nullptr) return std::unique_ptr<Channel>();
    return std::unique_ptr<Channel>(new MqttChannel(*link, settings.topic));
  }
  Opened operator()(const WebhookSettings& settings) const {
    BOOST_OUTCOME_TRY(token, secret(settings.token_file));
    BOOST_OUTCOME_TRY(key, secret(settings.signing_key_file));
    BOOST_OUTCOME_TRY(channel, WebhookChannel::open(settings, token, key, clock));
    return std::unique_ptr<Channel>(std::move(channel));
  }
  Opened operator()(const EmailSettings& settings) const {
    BOOST_OUTCOME_TRY(password, secret(settings.password_file));
    BOOST_OUTCOME_TRY(channel, EmailChannel::open(settings, password));
    return std::unique_ptr<Channel>(std::move(channel));
  }
};

Result<std::unique_ptr<Channel>> open(const ChannelSettings& channel, const Opener& opener) {
  auto opened = std::visit(opener, channel.kind);
  if (!opened) {
    return fail(opened.error().code,
                fmt::format("the channel \"{}\": {}", channel.name, opened.error().message));
  }
  return opened;
}

}  // namespace

Result<std::vector<NamedChannel>> make_channels(const std::vector<ChannelSettings>& channels,
                                                const DisplaySettings& display, MqttLink& link,
                                                const Clock& clock) {
  std::vector<NamedChannel> made;
  for (const ChannelSettings& channel : channels) {
    BOOST_OUTCOME_TRY(opened, open(channel, {display, &link, clock}));
    made.push_back({channel.name, channel.for_people(), std::move(opened)});
  }
  return made;
}

Status check_channels(const std::vector<ChannelSettings>& channels, const Clock& clock) {
  for (const ChannelSettings& channel : channels) {
    BOOST_OUTCOME_TRYV(open(channel, {{}, nullptr, clock}));
  }
  return success();
}

const char* kind_of(const ChannelSettings& channel) {
  constexpr const char* kKinds[] = {"log", "mqtt", "webhook", "e-mail"};
  return kKinds[channel.kind.index()];
}

}  // namespace gyle
