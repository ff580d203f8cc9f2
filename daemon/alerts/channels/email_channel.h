#pragma once

#include <memory>
#include <string>
#include <vector>

#include "alerts/channel.h"
#include "alerts/channels/curl_transfer.h"
#include "config/channel_settings.h"

namespace gyle {

// One message per notice to all addressees, over a connection that is encrypted or not used at all. When the
// server wants none of it for one addressee, the others get it nevertheless.
class EmailChannel final : public Channel {
 public:
  // `password` is what the file of the settings holds. Errors as check_email.
  static Result<std::unique_ptr<EmailChannel>> open(const EmailSettings& settings, std::string password,
                                                    TransferLimits limits = {});

  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  EmailChannel(const EmailSettings& settings, FarAddress server, std::string password, TransferLimits limits);
  void submit(MailSubmission mail, std::function<void(Delivered)> done);

  EmailSettings settings_;
  FarAddress server_;
  std::string password_;
  std::vector<std::string> secrets_;
  CurlTransfer transfer_;
};

}  // namespace gyle
