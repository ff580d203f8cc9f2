#include "alerts/channels/webhook_channel.h"

#include <algorithm>

#include "alerts/channels/webhook_signature.h"

namespace gyle {
namespace {

// Path and query often contain a service's key, which its reply may repeat in part.
void add_parts_of(const std::string& rest, std::vector<std::string>& secrets) {
  constexpr std::size_t kShortestKey = 8;
  secrets.push_back(rest);
  for (std::size_t begin = 0; begin < rest.size();) {
    const auto end = std::min(rest.find_first_of("/?&=#", begin), rest.size());
    if (end - begin >= kShortestKey) secrets.push_back(rest.substr(begin, end - begin));
    begin = end + 1;
  }
}

}  // namespace

Result<std::unique_ptr<WebhookChannel>> WebhookChannel::open(const WebhookSettings& settings,
                                                             std::string token, std::string signing_key,
                                                             const Clock& clock, TransferLimits limits) {
  BOOST_OUTCOME_TRY(form, WebhookForm::parse(settings));
  if (!std::all_of(token.begin(), token.end(), [](char c) { return c > ' ' && c < 0x7F; }))
    return fail(Errc::malformed, "the token must be one word of ASCII: " + settings.token_file.string());
  return std::unique_ptr<WebhookChannel>(
      new WebhookChannel(settings, form, std::move(token), std::move(signing_key), clock, limits));
}

WebhookChannel::WebhookChannel(const WebhookSettings& settings, WebhookForm form, std::string token,
                               std::string signing_key, const Clock& clock, TransferLimits limits)
    : settings_(settings),
      form_(std::move(form)),
      token_(std::move(token)),
      signing_key_(std::move(signing_key)),
      clock_(clock),
      secrets_{token_, signing_key_},
      transfer_(limits) {
  add_parts_of(form_.address().rest, secrets_);
}

void WebhookChannel::send(const Notice& notice, std::function<void(Delivered)> done) {
  HttpPost post{settings_.url, form_.headers(notice), form_.body(notice), settings_.ca_file};
  if (!token_.empty()) post.headers.push_back("Authorization: Bearer " + token_);
  if (!signing_key_.empty()) {
    for (std::string& line : signature_headers(signing_key_, clock_.now(), post.body))
      post.headers.push_back(std::move(line));
  }
  transfer_.post(std::move(post), [this, done = std::move(done)](const ServerReply& answer) {
    done(judge_http(answer, form_.address(), secrets_));
  });
}

}  // namespace gyle
