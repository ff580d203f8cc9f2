#pragma once

namespace gyle {

// The usual phrase of a status that is met here, "" for others.
//   source  RFC 9110 section 15; RFC 6585 for 429 and 431
const char* http_reason(int status);

}  // namespace gyle
