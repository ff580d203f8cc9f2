#pragma once

#include <string>
#include <string_view>

namespace gyle {

// Any bytes as character data or an attribute's value of XML 1.0: markup escaped, and what XML cannot
// hold (control characters, broken UTF-8, U+FFFE and U+FFFF) as question marks.
//   source  XML 1.0 (Fifth Edition), sections 2.2 and 2.4
std::string xml_text(std::string_view text);

// The beginning of a picture of 600 by 400 units on white, with its name and its description for those who do not see
// it. Both may be any text. It ends with "</svg>".
std::string svg_head(std::string_view title, std::string_view description);

}  // namespace gyle
