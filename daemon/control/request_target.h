#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace gyle {

// A request target taken apart: "/v1/batches/Amber%201?vessel=left" is segments v1, batches, "Amber 1" and
// the query vessel = left. Segments and query are decoded after they are split; a plus in the query is a
// space.
struct RequestTarget {
  std::vector<std::string> segments;
  std::map<std::string, std::string, std::less<>> query;
};

// Errc::malformed when it is not an absolute path or a percent sign is not followed by two hexadecimal
// digits.
//   source  RFC 3986 sections 2.1, 3.3 and 3.4
Result<RequestTarget> parse_request_target(std::string_view target);

// One segment of a path or value of a query, percent-encoded but for unreserved characters, and back; a plus
// is a plus. Errc::malformed as above.
std::string percent_encoded(std::string_view text);
Result<std::string> percent_decoded(std::string_view text);

}  // namespace gyle
