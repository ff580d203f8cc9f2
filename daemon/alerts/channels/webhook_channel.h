#pragma once

#include <memory>
#include <string>
#include <vector>

#include "alerts/channels/channel.h"
#include "alerts/channels/curl_transfer.h"
#include "base/clock.h"
#include "notices/channel_settings.h"
#include "notices/webhook_form.h"

namespace gyle {

// HTTP POST of a CloudEvent, or of a configured body. Every request carries
//   Idempotency-Key: <the notice's id>    the same at every attempt
//   Authorization: Bearer <token>         with a token
//   Gylekeeper-Timestamp, -Signature      with a signing key (webhook_signature.h)
class WebhookChannel final : public Channel {
 public:
  // `token` and `signing_key` are the contents of their files, empty: none. `clock` is the machine's, for the
  // time of the signature, and must outlive this. Errc::malformed as WebhookForm::parse, and for a token that
  // a header cannot hold.
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
