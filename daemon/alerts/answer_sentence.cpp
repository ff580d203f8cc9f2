#include "alerts/answer_sentence.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"

namespace gyle {
namespace {

constexpr std::size_t kLongest = 200;
constexpr std::size_t kShortestSecret = 4;

// RFC 9110 section 15, RFC 6585.
std::string_view usual_reason(int code) {
  switch (code) {
    case 301:
      return "Moved Permanently";
    case 302:
      return "Found";
    case 307:
      return "Temporary Redirect";
    case 308:
      return "Permanent Redirect";
    case 400:
      return "Bad Request";
    case 401:
      return "Unauthorized";
    case 403:
      return "Forbidden";
    case 404:
      return "Not Found";
    case 408:
      return "Request Timeout";
    case 410:
      return "Gone";
    case 413:
      return "Content Too Large";
    case 429:
      return "Too Many Requests";
    case 500:
      return "Internal Server Error";
    case 502:
      return "Bad Gateway";
    case 503:
      return "Service Unavailable";
    case 504:
      return "Gateway Timeout";
    default:
      return "";
  }
}

bool is_blank(char c) { return static_cast<unsigned char>(c) <= ' ' || c == 0x7F; }

}  // namespace

std::string one_line(std::string_view text, const std::vector<std::string>& secrets) {
  std::string shown(text);
  // The longest first: one may be part of another.
  std::vector<std::string> hidden = secrets;
  std::sort(hidden.begin(), hidden.end(), [](const auto& a, const auto& b) { return a.size() > b.size(); });
  for (const std::string& secret : hidden) {
    if (secret.size() < kShortestSecret) continue;
    for (std::size_t at = 0; (at = shown.find(secret, at)) != std::string::npos;)
      shown.replace(at, secret.size(), "(secret)");
  }
  std::string line;
  for (const char c : shown) {
    if (!is_blank(c)) {
      line += c;
    } else if (!line.empty() && line.back() != ' ') {
      line += ' ';
    }
  }
  if (!line.empty() && line.back() == ' ') line.pop_back();
  if (line.size() <= kLongest) return displayable(line, kLongest);
  return displayable(line, kLongest - 3) + "...";
}

std::string answer_sentence(int code, std::string_view reason, std::string_view body,
                            const std::vector<std::string>& secrets) {
  std::string said = fmt::format("the server answered {}", code);
  if (reason.empty()) reason = usual_reason(code);
  if (!reason.empty()) said += fmt::format(" {}", reason);
  const auto begin = body.find_first_not_of(" \t\r\n");
  if (begin != body.npos && body[begin] != '<') said += fmt::format(": {}", body.substr(begin));
  return one_line(said, secrets);
}

}  // namespace gyle
