#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "notices/channel_settings.h"
#include "notices/endpoint.h"
#include "notices/notice.h"

namespace gyle {

// RFC 4648 section 4, padded, without line breaks.
std::string base64(std::string_view bytes);

// Whether this is a plain mail address: local@domain in ASCII, without a display name, quotes or anything
// with a meaning in a header or in SMTP.
bool is_mail_address(std::string_view text);

// The notice as an RFC 5322 message with CRLF line ends: plain text in UTF-8, the title as subject (RFC 2047
// when not ASCII), Date and Message-ID from the notice, marked as automatic (RFC 3834).
//   from, to   mail addresses (is_mail_address); `to` has at least one
//   picture    attach the notice's picture, if it has one
//   pure       the same notice gives the same message
//   safe       no text of the notice can add a header or a part
//   tests      unit/notices/mail_message_test.cpp
std::string mail_message(const Notice& notice, const std::string& from, const std::vector<std::string>& to,
                         bool picture);

// The mail server of the settings, with its port (RFC 8314: 465 for smtps; RFC 6409: 587 for smtp).
//   errors  Errc::malformed  server, address or username
//           Errc::missing    no recipient
Result<Endpoint> check_email(const EmailSettings& settings);

}  // namespace gyle
