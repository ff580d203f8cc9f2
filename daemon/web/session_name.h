#pragma once

#include <string>

namespace gyle {

// 32 bytes of the system's randomness in hexadecimal. Throws when the system gives none.
std::string new_session_name();

}  // namespace gyle
