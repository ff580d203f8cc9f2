#pragma once

#include <memory>
#include <string>
#include <vector>

#include "alerts/channels/channel.h"
#include "alerts/channels/curl_transfer.h"
#include "notices/channel_settings.h"

namespace gyle {

// One message per notice to all recipients, over TLS only. When the server refuses some recipients, the
// others still get it.
class EmailChannel final : public Channel {
 public:
  // `password` is the content of the password file. Errors of check_email.
  static Result<std::unique_ptr<EmailChannel>> open(const EmailSettings& settings, std::string password,
                                                    TransferLimits limits = {});

  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  EmailChannel(const EmailSettings& settings, Endpoint server, std::string password, TransferLimits limits);
  void submit(MailSubmission mail, std::function<void(Delivered)> done);

  EmailSettings settings_;
  Endpoint server_;
  std::string password_;
  std::vector<std::string> secrets_;
  CurlTransfer transfer_;
};

}  // namespace gyle
