#pragma once

#include <string>
#include <string_view>

namespace gyle {

// RFC 4648 section 4, padded, without line breaks.
std::string base64(std::string_view bytes);

}  // namespace gyle
