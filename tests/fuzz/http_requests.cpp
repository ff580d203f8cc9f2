// Input: the bytes of one connection, behind one byte that says in what pieces they come. Whatever they are:
// little is held of them, the pieces change nothing, what is ambiguous is no request, and nobody is signed in
// whose headers do not hold the token (or, for a feed, something in base64, which only the token itself
// satisfies).
#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "control/request_reader.h"
#include "fuzz_check.h"
#include "web/access.h"

namespace {

using namespace gyle;
using State = RequestReader::State;

constexpr RequestReader::Limits kLimits{.header_bytes = 400, .body_bytes = 100};
constexpr Time kNow{Duration(1'772'389'800'000)};
const std::string kToken = "token-of-the-fuzz";

struct Outcome {
  std::vector<RequestReader::Received> requests;
  State end = State::between;
  RequestReader::Refusal refusal;
};

Outcome read(std::string_view bytes, std::size_t piece) {
  RequestReader reader(kLimits);
  Outcome outcome;
  for (std::size_t i = 0; i < bytes.size() && reader.state() != State::refused; i += piece) {
    reader.take(bytes.substr(i, piece));
    while (reader.state() == State::complete) outcome.requests.push_back(reader.release());
    FUZZ_CHECK(reader.held() <= kLimits.header_bytes + kLimits.body_bytes + std::min(piece, bytes.size()));
  }
  outcome.end = reader.state();
  outcome.refusal = reader.refusal();
  return outcome;
}

void check(const HttpRequest& request, Access& access) {
  FUZZ_CHECK(!request.method.empty() && !request.target.empty());
  FUZZ_CHECK(request.body.size() <= kLimits.body_bytes);
  FUZZ_CHECK(!request.headers.contains("transfer-encoding"));
  const auto length = request.headers.find("content-length");
  FUZZ_CHECK(request.body.size() == (length == request.headers.end() ? 0 : std::stoull(length->second)));
  for (const auto& [name, value] : request.headers) {
    FUZZ_CHECK(std::none_of(name.begin(), name.end(),
                            [](char c) { return c <= ' ' || c == ':' || (c >= 'A' && c <= 'Z'); }));
    FUZZ_CHECK(value.find_first_of(std::string_view("\r\n\0", 3)) == std::string::npos);
  }
  const auto verdict = access.judge(request, kNow);
  const auto claim = request.headers.find("authorization");
  const bool shown = claim != request.headers.end() && claim->second.find(kToken) != std::string::npos;
  const bool feed = request.target.starts_with("/metrics") || request.target.starts_with("/calendar.ics");
  FUZZ_CHECK(!verdict.signed_in || shown || (feed && claim != request.headers.end()));
  if (verdict.refusal) FUZZ_CHECK(verdict.refusal->status >= 400 && verdict.refusal->status < 500);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  const Outcome whole = read(bytes, bytes.size() + 1);
  const Outcome pieces = read(bytes, data[0] + 1U);
  FUZZ_CHECK(whole.end == pieces.end && whole.requests.size() == pieces.requests.size());
  FUZZ_CHECK(whole.refusal.status == pieces.refusal.status && whole.refusal.detail == pieces.refusal.detail);
  if (whole.end == State::refused) {
    FUZZ_CHECK(whole.refusal.status >= 400 && is_clean_text(whole.refusal.detail));
  }
  Access access({kToken, "0.0.0.0", {"cellar"}}, [] { return std::string("session"); });
  for (std::size_t i = 0; i < whole.requests.size(); ++i) {
    HttpRequest request = whole.requests[i].request;
    const HttpRequest& other = pieces.requests[i].request;
    FUZZ_CHECK(request.method == other.method && request.target == other.target &&
               request.body == other.body);
    FUZZ_CHECK(request.headers == other.headers);
    request.peer = "192.0.2.7";
    check(request, access);
  }
  return 0;
}
