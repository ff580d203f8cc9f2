#include "notices/answer_sentence.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/http_status.h"
#include "base/text.h"

namespace gyle {
namespace {

constexpr std::size_t kLongest = 200;
constexpr std::size_t kShortestSecret = 4;

bool is_blank(char c) { return static_cast<unsigned char>(c) <= ' ' || c == 0x7F; }

}  // namespace

std::string one_line(std::string_view text, const std::vector<std::string>& secrets) {
  std::string shown(text);
  // Longest first, as one may be part of another.
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
  if (reason.empty()) reason = http_reason(code);
  if (!reason.empty()) said += fmt::format(" {}", reason);
  const auto begin = body.find_first_not_of(" \t\r\n");
  if (begin != body.npos && body[begin] != '<') said += fmt::format(": {}", body.substr(begin));
  return one_line(said, secrets);
}

}  // namespace gyle
