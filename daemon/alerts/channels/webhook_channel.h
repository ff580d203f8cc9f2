#pragma once

#include <memory>
#include <string>
#include <vector>

#include "alerts/channel.h"
#include "alerts/channels/curl_transfer.h"
#include "alerts/webhook_form.h"
#include "base/clock.h"
#include "config/channel_settings.h"

namespace gyle {

// HTTP POST: a CloudEvent, or a body of the brewer's own. Every request carries
//   Idempotency-Key: <the notice's id>    the same at every attempt
//   Authorization: Bearer <token>         when there is a token
//   Gylekeeper-Timestamp, -Signature      when there is a key (webhook_signature.h)
class WebhookChannel final : public Channel {
 public:
  // `token` and `signing_key` are what the files of the settings hold, empty: none. Errc::malformed as
  // WebhookForm::parse, and when the token cannot stand in a header. `clock` (the machine's; for the time of
  // the signature) must outlive this.
  static Result<std::unique_ptr<WebhookChannel>> open(const WebhookSettings& settings, std::string token,
                                                      std::string signing_key, const Clock& clock,
                                                      TransferLimits limits = {});

  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  WebhookChannel(const WebhookSettings& settings, WebhookForm form, std::string token,
                 std::string signing_key, const Clock& clock, TransferLimits limits);

  WebhookSettings settings_;
  WebhookForm form_;
  std::string token_;
  std::string signing_key_;
  const Clock& clock_;
  std::vector<std::string> secrets_;
  CurlTransfer transfer_;
};

}  // namespace gyle
