#pragma once

#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/time.h"
#include "control/http_message.h"
#include "web/sign_in_attempts.h"

namespace gyle {

// Who may read and change what through the network. Nothing here waits, reads a clock or makes random numbers:
// `now` and the names of sessions are given.
//
//   the machine itself   reads without a secret: its address and the host it asks for are loopback, and there
//                        is no proxy between
//   all others           need the token, as `Authorization: Bearer`, or a session that was opened with it
//   changes              every method but GET: always the token or a session; from a browser only from our own
//                        page. With a session the request also needs a content type of JSON or the field
//                        X-Gylekeeper, which no form of another site has
//   feeds                /calendar.ics and /metrics also take the token as the password of `Authorization:
//                        Basic`, for programs that offer nothing else
//   open to all          the files of the page, which hold no data of the brewer's, and opening a session
//   the Host field       must name this daemon: a foreign name that was made to point here (DNS rebinding) is
//                        refused
class Access {
 public:
  struct Rules {
    std::string token;               // empty: nobody may act
    std::string address;             // listened at: "127.0.0.1", "0.0.0.0"
    std::vector<std::string> hosts;  // further names of this daemon, without ports
  };
  struct Verdict {
    std::optional<HttpResponse> refusal = std::nullopt;  // to be sent instead of the answer
    bool signed_in = false;                              // may act
  };

  // `new_session` makes a name that cannot be guessed: 32 random bytes in hexadecimal.
  Access(Rules rules, std::function<std::string()> new_session);

  Verdict judge(const HttpRequest& request, Time now);

  // Answers requests to /session that judge() has let pass: POST {"token": ...} opens a session, DELETE ends
  // it, GET says whether there is one.
  HttpResponse session(const HttpRequest& request, const Verdict& verdict, Time now);

  bool read_only() const { return rules_.token.empty(); }
  std::size_t sessions() const { return sessions_.size(); }

 private:
  enum class Claim { none, right, wrong, too_often };
  bool host_is_ours(const HttpRequest& request) const;
  Claim token_in_header(const HttpRequest& request, Time now);
  Claim try_token(std::string_view token, std::string_view peer, Time now);
  bool in_session(const HttpRequest& request, Time now);
  void forget_old(Time now);

  Rules rules_;
  std::set<std::string, std::less<>> names_;
  std::function<std::string()> new_session_;
  std::string token_digest_;
  std::map<std::string, Time, std::less<>> sessions_;  // digest of the name, last use
  SignInAttempts attempts_;
};

// For every answer through the network: no script or style but our own files, no frames, no referrer.
std::vector<std::pair<std::string, std::string>> security_headers();

// "127.0.0.1", "::1" and the like.
bool is_loopback(std::string_view address);

// 32 bytes of the system's randomness in hexadecimal. Throws when the system gives none.
std::string new_session_name();

}  // namespace gyle
