#pragma once

#include <optional>
#include <string>
#include <vector>

#include "alerts/channel.h"
#include "alerts/far_address.h"
#include "base/time.h"

namespace gyle {

// What one attempt over the network brought back.
struct FarAnswer {
  int code = 0;        // of HTTP, or of the last reply of SMTP; 0: nothing came
  std::string reason;  // the words of HTTP beside the code
  std::string text;    // the beginning of what followed
  std::optional<Duration> retry_after;
  std::string moved_to;   // where a redirection points
  std::string objection;  // of SMTP: what was said of an addressee, although the message was taken

  enum class Failure {
    none,
    network,    // not reached, not answered, or broken off
    untrusted,  // the certificate is not trusted
    no_tls,     // the server offers no TLS; nothing was sent
    login,      // it does not let us in
    stopped,    // by us
    unusable    // the settings allow no attempt
  } failure = Failure::none;
  std::string failure_text;  // the library's words
};

// What an answer means. A status that has come counts, however the rest of the answer went.
//   arrived  2xx
//   later    408, 425, 429, 5xx (after Retry-After, a day at most), no answer, a certificate that is not
//   trusted refused  a redirection (it is not followed: what is signed for one place is not sent to another),
//   other 4xx secrets  what must not be in the sentence, should the far end repeat it
Delivered judge_http(const FarAnswer& answer, const FarAddress& address,
                     const std::vector<std::string>& secrets);

//   arrived  the message was taken, for one addressee at least
//   later    4xx, no answer, no TLS, a certificate that is not trusted
//   refused  5xx, and a login that fails for good
Delivered judge_smtp(const FarAnswer& answer, const FarAddress& address,
                     const std::vector<std::string>& secrets);

}  // namespace gyle
