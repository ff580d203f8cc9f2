#pragma once

#include <string>
#include <string_view>

namespace gyle {

// RFC 4648 section 4, with padding, in one line.
std::string base64(std::string_view bytes);

}  // namespace gyle
