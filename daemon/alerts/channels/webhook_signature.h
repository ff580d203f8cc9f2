#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/time.h"

namespace gyle {

// HMAC-SHA-256 (RFC 2104, FIPS 180-4) in lower-case hexadecimal digits.
std::string hmac_sha256(std::string_view key, std::string_view text);

// Headers with which a receiver that has the key can verify the sender and detect replays:
//   Gylekeeper-Timestamp: <seconds since 1970>
//   Gylekeeper-Signature: sha256=<HMAC-SHA-256 of "<that number>.<body>">
std::vector<std::string> signature_headers(std::string_view key, Time now, std::string_view body);

}  // namespace gyle
