#pragma once

#include <string>

namespace gyle {

// 32 bytes of the system's randomness in hexadecimal. Throws when there is none to be had.
std::string new_session_name();

}  // namespace gyle
