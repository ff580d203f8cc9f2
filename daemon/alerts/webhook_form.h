#pragma once

#include <string>
#include <utility>
#include <vector>

#include "alerts/body_template.h"
#include "alerts/far_address.h"
#include "config/channel_settings.h"

namespace gyle {

// What a webhook's settings make of a notice.
class WebhookForm {
 public:
  // Errc::malformed names the setting: an address that is not http or https, a header whose name RFC 9110
  // does not allow or that is set by the request itself, an unknown name between braces, a JSON body that is
  // none.
  static Result<WebhookForm> parse(const WebhookSettings& settings);

  const FarAddress& address() const { return address_; }
  std::string body(const Notice& notice) const;

  // "Name: value", with Content-Type and Idempotency-Key (the notice's id); without those that have no value.
  std::vector<std::string> headers(const Notice& notice) const;

 private:
  FarAddress address_;
  std::string content_type_;
  std::vector<BodyTemplate> body_;  // none: a CloudEvent
  std::vector<std::pair<std::string, BodyTemplate>> headers_;
};

}  // namespace gyle
