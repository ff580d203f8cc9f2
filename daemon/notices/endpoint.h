#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

#include "base/result.h"

namespace gyle {

// The address of a server. Path and query may be secret (many services put a key there), so only shown() may
// appear in output and logs.
struct Endpoint {
  std::string scheme;     // lower case
  std::string authority;  // HOST or HOST:PORT
  bool has_port = false;
  std::string rest;  // path and query, with the leading "/"

  std::string shown() const { return scheme + "://" + authority; }
};

// Parses "https://host:8123/path". Errc::malformed for anything else, and for a user or password, spaces,
// control characters, a zone or non-ASCII bytes; the message does not repeat the address.
//   tests  unit/notices/endpoint_test.cpp
Result<Endpoint> parse_endpoint(std::string_view text, std::initializer_list<std::string_view> schemes);

}  // namespace gyle
