#pragma once

#include <string>
#include <string_view>

namespace gyle {

// Any bytes as character data or an attribute's value of XML 1.0: markup escaped, and what XML cannot
// hold (control characters, broken UTF-8, U+FFFE and U+FFFF) as question marks.
//   source  XML 1.0 (Fifth Edition), sections 2.2 and 2.4
std::string xml_text(std::string_view text);

}  // namespace gyle
