#include "notices/endpoint.h"

#include <curl/curl.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstdlib>
#include <memory>

// Read by libcurl, which also connects: what is shown is the host that gets the request. Parsing is all that is used of
// it here: no handle, no transfer.
namespace gyle {
namespace {

// A part of the address; empty when there is none.
std::string part_of(CURLU* url, CURLUPart part) {
  char* text = nullptr;
  if (curl_url_get(url, part, &text, 0) != CURLUE_OK) return "";
  const std::unique_ptr<char, void (*)(void*)> owner(text, curl_free);
  return text;
}

}  // namespace

Result<Endpoint> parse_endpoint(std::string_view text, std::initializer_list<std::string_view> schemes) {
  const std::string expected = fmt::format("expected {}://HOST[:PORT]", fmt::join(schemes, ":// or "));
  const bool printable = std::all_of(text.begin(), text.end(), [](char c) { return c > ' ' && c < 0x7F; });
  if (!printable)
    return fail(Errc::malformed, "the address contains a space or a non-ASCII character; write it as %XX");
  const std::unique_ptr<CURLU, void (*)(CURLU*)> url(curl_url(), curl_url_cleanup);
  const auto host_at = text.find("://");
  if (host_at == text.npos ||
      text.substr(host_at + 3).starts_with('/'))  // libcurl takes more or fewer slashes
    return fail(Errc::malformed, expected);
  const CURLUcode code = curl_url_set(url.get(), CURLUPART_URL, std::string(text).c_str(),
                                      CURLU_NON_SUPPORT_SCHEME | CURLU_DISALLOW_USER | CURLU_PATH_AS_IS);
  if (code == CURLUE_USER_NOT_ALLOWED)
    return fail(Errc::malformed, "the address contains a user or a password; secrets are read from files");
  const std::string scheme = part_of(url.get(), CURLUPART_SCHEME);
  const std::string port = part_of(url.get(), CURLUPART_PORT);
  const bool zoned = !part_of(url.get(), CURLUPART_ZONEID).empty();
  if (code != CURLUE_OK || port == "0" || zoned ||
      std::find(schemes.begin(), schemes.end(), scheme) == schemes.end())
    return fail(Errc::malformed, expected);
  const std::string host = part_of(url.get(), CURLUPART_HOST);
  const std::string query = part_of(url.get(), CURLUPART_QUERY);
  return Endpoint{.scheme = scheme,
                  .authority = port.empty() ? host : host + ":" + port,
                  .has_port = !port.empty(),
                  .rest = part_of(url.get(), CURLUPART_PATH) + (query.empty() ? "" : "?" + query)};
}

}  // namespace gyle
