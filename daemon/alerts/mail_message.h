#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "alerts/channel.h"

namespace gyle {

// Whether this is an address that mail can be sent to: local@domain in ASCII, without a name, quotation or
// anything that means something in a header or in SMTP.
bool is_mail_address(std::string_view text);

// The notice as a message of RFC 5322, lines ended by CRLF: plain text in UTF-8, the title as subject (RFC
// 2047 when it is not ASCII), dated by the notice, marked as sent by a machine (RFC 3834), with the picture
// attached when there is one and it is wanted. The same notice makes the same message, whose Message-ID is
// made of its id. No text of the notice can add a header or a part.
//   from, to   are mail addresses (is_mail_address); `to` has at least one
std::string mail_message(const Notice& notice, const std::string& from, const std::vector<std::string>& to,
                         bool picture);

}  // namespace gyle
