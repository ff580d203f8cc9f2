#pragma once

#include <string>
#include <string_view>

#include "base/result.h"

namespace gyle {

// Whether the field Accept-Encoding allows gzip (RFC 9110, 12.5.3); an absent one ("") does not.
bool accepts_gzip(std::string_view accept_encoding);

// The bytes in the format of RFC 1952, the same every time.
std::string gzip(std::string_view bytes);

// Errc::malformed for what is not gzip, is cut off, or would be longer than `at_most`.
Result<std::string> gunzip(std::string_view bytes, std::size_t at_most = 16 * 1024 * 1024);

}  // namespace gyle
