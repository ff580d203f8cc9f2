#include "alerts/channels/webhook_signature.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "support/reference.h"

using namespace gyle;

namespace {

std::string bytes_of(const std::string& hex) {
  std::string bytes;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2)
    bytes += static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16));
  return bytes;
}

}  // namespace

TEST_CASE("HMAC-SHA-256 agrees with RFC 4231") {
  const auto cases = test::reference_json("hmac_sha256.json");
  REQUIRE(cases.size() == 5);
  for (const auto& one : cases) {
    CAPTURE(one["case"].get<int>());
    const std::string key = one.contains("key") ? bytes_of(one["key"])
                                                : std::string(one["key_repeat"]["times"].get<std::size_t>(),
                                                              bytes_of(one["key_repeat"]["byte"]).front());
    CHECK(hmac_sha256(key, bytes_of(one["data"])) == one["hmac"].get<std::string>());
  }
}

TEST_CASE("the signature covers the time and the body") {
  const Time now = parse_rfc3339("2026-03-01T18:30:00.9Z").value();
  const auto headers = signature_headers("key", now, "body");
  // printf '1772389800.body' | openssl dgst -sha256 -hmac key
  CHECK(headers ==
        std::vector<std::string>{
            "Gylekeeper-Timestamp: 1772389800",
            "Gylekeeper-Signature: sha256=bc1a07a5d4a1a0f0d703a5ab1b3a166bacabf77dfd10fdc7495ef991189d0aba"});
}
