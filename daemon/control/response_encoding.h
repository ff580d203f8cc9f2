#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "base/result.h"
#include "control/http_message.h"

namespace gyle {

// Whether the field Accept-Encoding allows gzip (RFC 9110, 12.5.3); an absent one ("") does not.
bool accepts_gzip(std::string_view accept_encoding);

// The bytes in the format of RFC 1952, the same every time.
std::string gzip(std::string_view bytes);

// Errc::malformed for what is not gzip, is cut off, or would be longer than `at_most`.
Result<std::string> gunzip(std::string_view bytes, std::size_t at_most = 16 * 1024 * 1024);

// A strong entity tag with its quotes: 128 bits of the SHA-256 of `bytes`.
std::string entity_tag(std::string_view bytes);

// What is sent of a handler's answer: 304 without a body when the client has it already (RFC 9110, 13.1.2),
// else compressed when it is longer than 1 kB and the client takes that. An answer to GET with status 200
// gets an ETag unless it has one; one that has a Content-Encoding is left as it is.
//   at_most  bytes of a body as sent; a longer one is replaced by a problem document
HttpResponse encoded_response(const HttpRequest& request, HttpResponse answer, std::size_t at_most);

}  // namespace gyle
