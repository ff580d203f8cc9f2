#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

#include "base/result.h"

namespace gyle {

// Where something is sent. What follows the host may be a secret (many services put their key into the path),
// so only `shown` is for people and logs.
struct FarAddress {
  std::string scheme;     // lower case
  std::string authority;  // HOST or HOST:PORT
  bool has_port = false;
  std::string rest;  // path and query, empty or with the leading "/" or "?"

  std::string shown() const { return scheme + "://" + authority; }
};

// Reads "https://host:8123/path". Errc::malformed when it is something else, has a user or a password, a
// space, a control character or a byte outside of ASCII; the message does not repeat the address.
Result<FarAddress> parse_far_address(std::string_view text, std::initializer_list<std::string_view> schemes);

}  // namespace gyle
