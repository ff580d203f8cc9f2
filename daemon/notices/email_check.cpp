#include "notices/email_check.h"

#include <fmt/format.h>

#include "notices/mail_message.h"
#include "base/text.h"

namespace gyle {

Result<Endpoint> check_email(const EmailSettings& settings) {
  BOOST_OUTCOME_TRY(server, parse_endpoint(settings.server, {"smtps", "smtp"}));
  if (server.rest != "/")
    return fail(Errc::malformed, "expected smtps://HOST[:PORT] or smtp://HOST[:PORT], without a path");
  server.rest.clear();
  if (!server.has_port) server.authority += server.scheme == "smtps" ? ":465" : ":587";
  server.has_port = true;
  if (settings.to.empty()) return fail(Errc::missing, "there is no recipient");
  std::vector<std::string> addresses = settings.to;
  addresses.push_back(settings.from);
  for (const std::string& address : addresses) {
    if (!is_mail_address(address))
      return fail(Errc::malformed, fmt::format("\"{}\" is not a mail address such as brewer@example.org",
                                               displayable(address)));
  }
  if (!is_clean_text(settings.username))
    return fail(Errc::malformed, "the username contains control characters");
  return server;
}

}  // namespace gyle
