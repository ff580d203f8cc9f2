#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/time.h"
#include "notices/endpoint.h"
#include "notices/notice.h"

namespace gyle {

// A server's reply as one line for a person: "the server answered 401 Unauthorized: token missing".
//   code      of HTTP or SMTP
//   reason    the server's phrase for it; empty: the standard phrase, if there is one
//   body      the text of the reply; markup is dropped
//   secrets   replaced where the server repeats them
//   tests     unit/notices/server_reply_test.cpp
std::string answer_sentence(int code, std::string_view reason, std::string_view body,
                            const std::vector<std::string>& secrets);

// `text` as one printable line of at most 200 bytes. Secrets of 4 bytes and more become "(secret)".
std::string one_line(std::string_view text, const std::vector<std::string>& secrets);

// The result of one network transfer.
struct ServerReply {
  int code = 0;        // HTTP status or last SMTP reply; 0: no reply
  std::string reason;  // HTTP reason phrase
  std::string text;    // beginning of the body or of the reply
  std::optional<Duration> retry_after;
  std::string moved_to;   // target of a redirect
  std::string objection;  // SMTP: a recipient was refused although the message was accepted

  enum class Failure {
    none,
    network,    // not reached, no reply, or interrupted
    untrusted,  // the certificate is not trusted
    no_tls,     // the server offers no TLS; nothing was sent
    login,      // login refused
    stopped,    // by CurlTransfer
    unusable    // the settings do not allow an attempt
  } failure = Failure::none;
  std::string failure_text;  // libcurl's text
};

// Classifies the reply of an HTTP server. A status that was received counts, even if the rest failed.
//   arrived  2xx
//   later    408, 425, 429, 5xx (after Retry-After, at most a day), no reply, an untrusted certificate
//   refused  other 4xx; 3xx, as a request signed for one server is not sent to another
//   secrets  removed from the sentence
//   tests    unit/notices/server_reply_test.cpp
Delivered judge_http(const ServerReply& answer, const Endpoint& address,
                     const std::vector<std::string>& secrets);

// The same for an SMTP server.
//   arrived  accepted for at least one recipient
//   later    4xx, no reply, no TLS, an untrusted certificate
//   refused  5xx, a permanent failure of the login
Delivered judge_smtp(const ServerReply& answer, const Endpoint& address,
                     const std::vector<std::string>& secrets);

}  // namespace gyle
