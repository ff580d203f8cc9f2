#include "control/request_target.h"

// By hand: Boost 1.74 has no library for addresses, and libcurl's decoder lets a percent sign without digits pass. Its
// encoder needs it linked here for ten lines, which stand better beside what reads them.
namespace gyle {
namespace {

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

Result<std::string> decoded_from(std::string_view text, bool plus_is_space) {
  std::string decoded;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '%') {
      decoded += plus_is_space && text[i] == '+' ? ' ' : text[i];
      continue;
    }
    const int high = i + 2 < text.size() ? hex_digit(text[i + 1]) : -1;
    const int low = i + 2 < text.size() ? hex_digit(text[i + 2]) : -1;
    if (high < 0 || low < 0) {
      return fail(Errc::malformed,
                  "a percent sign in the address must be followed by two hexadecimal digits");
    }
    decoded += static_cast<char>(high * 16 + low);
    i += 2;
  }
  return decoded;
}

// Cuts the part before the next `separator` off `rest`.
std::string_view take_until(std::string_view& rest, char separator) {
  const std::size_t end = rest.find(separator);
  const std::string_view part = rest.substr(0, end);
  rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
  return part;
}

}  // namespace

Result<RequestTarget> parse_request_target(std::string_view target) {
  RequestTarget parsed;
  if (target.empty() || target.front() != '/') {
    return fail(Errc::malformed, "the address must begin with a slash");
  }
  std::string_view rest = target;
  std::string_view path = take_until(rest, '?');
  std::string_view query = take_until(rest, '#');
  path.remove_prefix(1);
  while (!path.empty()) {
    BOOST_OUTCOME_TRY(segment, decoded_from(take_until(path, '/'), false));
    parsed.segments.push_back(std::move(segment));
  }
  while (!query.empty()) {
    std::string_view value = take_until(query, '&');
    BOOST_OUTCOME_TRY(key, decoded_from(take_until(value, '='), true));
    BOOST_OUTCOME_TRY(decoded, decoded_from(value, true));
    parsed.query.insert_or_assign(std::move(key), std::move(decoded));
  }
  return parsed;
}

Result<std::string> percent_decoded(std::string_view text) { return decoded_from(text, false); }

std::string percent_encoded(std::string_view text) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::string encoded;
  for (const char c : text) {
    const bool unreserved = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                            c == '-' || c == '.' || c == '_' || c == '~';
    if (unreserved)
      encoded += c;
    else
      encoded.append(
          {'%', kDigits[static_cast<unsigned char>(c) >> 4U], kDigits[static_cast<unsigned char>(c) & 15U]});
  }
  return encoded;
}

}  // namespace gyle
