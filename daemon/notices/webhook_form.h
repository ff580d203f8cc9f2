#pragma once

#include <string>
#include <utility>
#include <vector>

#include "notices/body_template.h"
#include "notices/channel_settings.h"
#include "notices/endpoint.h"

namespace gyle {

// Body and headers of a webhook request, as configured.
class WebhookForm {
 public:
  // Errc::malformed, naming the setting: an address that is not http or https, a header name that RFC 9110
  // forbids or that the request sets itself, an unknown placeholder, a body that is not JSON as declared.
  static Result<WebhookForm> parse(const WebhookSettings& settings);

  const Endpoint& address() const { return address_; }
  std::string body(const Notice& notice) const;

  // "Name: value", including Content-Type and Idempotency-Key (the notice's id). Empty headers are omitted.
  std::vector<std::string> headers(const Notice& notice) const;

 private:
  Endpoint address_;
  std::string content_type_;
  std::vector<BodyTemplate> body_;  // empty: a CloudEvent
  std::vector<std::pair<std::string, BodyTemplate>> headers_;
};

}  // namespace gyle
