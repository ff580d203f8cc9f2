#include "app/homie_link.h"

#include <spdlog/spdlog.h>

namespace gyle {

HomieLink::HomieLink(const MqttSettings& mqtt, const HomieSettings& homie, const std::string& password,
                     const Clock& clock, Post post)
    : announcer_(homie,
                 [this](std::string topic, std::string payload) {
                   link_.publish(std::move(topic), std::move(payload), /*retained=*/true,
                                 [](const Status&) {});
                 }),
      link_(homie_connection(mqtt, homie), password, {},
            LinkHandlers{[](const Message&, const std::stop_token&) { return success(); },
                         [this, post = std::move(post)](const LinkEvent& event) {
                           post([this, kind = event.kind] {
                             if (kind == LinkEvent::Kind::connected) announcer_.connected();
                             if (kind == LinkEvent::Kind::lost) announcer_.lost();
                           });
                         },
                         homie_signs()},
            clock) {}

Status HomieLink::start() { return link_.start(); }

void HomieLink::stop() {
  if (const auto stopped = link_.stop(std::chrono::milliseconds(200)); !stopped) {
    spdlog::warn("{}", stopped.error().message);
  }
}

}  // namespace gyle
