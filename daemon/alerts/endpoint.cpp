#include "alerts/endpoint.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>

namespace gyle {
namespace {

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

bool is_port(std::string_view text) {
  return !text.empty() && text.size() <= 5 && text.find_first_not_of("0123456789") == text.npos &&
         std::stoi(std::string(text)) >= 1 && std::stoi(std::string(text)) <= 65535;
}

bool is_host(std::string_view host) {
  if (host.size() > 2 && host.front() == '[' && host.back() == ']')
    return host.substr(1, host.size() - 2).find_first_not_of("0123456789abcdefABCDEF:.") == host.npos;
  return !host.empty() && std::all_of(host.begin(), host.end(), [](unsigned char c) {
    return std::isalnum(c) || c == '.' || c == '-' || c == '_';
  });
}

}  // namespace

Result<Endpoint> parse_endpoint(std::string_view text, std::initializer_list<std::string_view> schemes) {
  const std::string expected = fmt::format("expected {}://HOST[:PORT]", fmt::join(schemes, ":// or "));
  const auto colon = text.find("://");
  if (colon == text.npos) return fail(Errc::malformed, expected);
  Endpoint endpoint;
  endpoint.scheme = lower(text.substr(0, colon));
  if (std::find(schemes.begin(), schemes.end(), endpoint.scheme) == schemes.end())
    return fail(Errc::malformed, expected);
  const bool printable = std::all_of(text.begin(), text.end(), [](char c) { return c > ' ' && c < 0x7F; });
  if (!printable)
    return fail(Errc::malformed, "the address contains a space or a non-ASCII character; write it as %XX");
  text.remove_prefix(colon + 3);
  const auto end = std::min(text.find_first_of("/?#"), text.size());
  endpoint.authority = text.substr(0, end);
  endpoint.rest = text.substr(end);
  if (endpoint.authority.find('@') != std::string::npos)
    return fail(Errc::malformed, "the address contains a user or a password; secrets are read from files");
  const std::string_view authority = endpoint.authority;
  const auto port = authority.rfind(':');
  endpoint.has_port = port != authority.npos && authority.back() != ']';
  const std::string_view host = endpoint.has_port ? authority.substr(0, port) : authority;
  if (!is_host(host) || (endpoint.has_port && !is_port(authority.substr(port + 1))))
    return fail(Errc::malformed, expected);
  return endpoint;
}

}  // namespace gyle
