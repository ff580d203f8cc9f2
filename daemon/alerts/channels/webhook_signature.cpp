#include "alerts/channels/webhook_signature.h"

#include <fmt/format.h>
#include <openssl/evp.h>
#include <openssl/hmac.h>

#include <array>

namespace gyle {

std::string hmac_sha256(std::string_view key, std::string_view text) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned size = 0;
  HMAC(EVP_sha256(), key.data(), static_cast<int>(key.size()),
       reinterpret_cast<const unsigned char*>(text.data()), text.size(), digest.data(), &size);
  std::string hex;
  for (unsigned i = 0; i < size; ++i) hex += fmt::format("{:02x}", digest[i]);
  return hex;
}

std::vector<std::string> signature_headers(std::string_view key, Time now, std::string_view body) {
  const auto timestamp = std::chrono::floor<seconds>(now.time_since_epoch()).count();
  return {fmt::format("Gylekeeper-Timestamp: {}", timestamp),
          "Gylekeeper-Signature: sha256=" + hmac_sha256(key, fmt::format("{}.{}", timestamp, body))};
}

}  // namespace gyle
