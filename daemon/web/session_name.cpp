#include "web/session_name.h"

#include <fmt/format.h>
#include <openssl/rand.h>

#include <array>
#include <stdexcept>

namespace gyle {

std::string new_session_name() {
  std::array<unsigned char, 32> bytes{};
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1)
    throw std::runtime_error("no randomness");
  std::string name;
  for (const unsigned char byte : bytes) name += fmt::format("{:02x}", byte);
  return name;
}

}  // namespace gyle
