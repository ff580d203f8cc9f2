#include "wording/fitted_text.h"

#include <algorithm>

namespace gyle {
namespace {

struct Character {
  std::string_view bytes;
  std::size_t columns;
  bool printable;  // neither a control character nor broken UTF-8
};

Character first_character(std::string_view text) {
  const auto byte = [text](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  const std::size_t wanted = lead < 0x80 ? 1 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : 4;
  std::size_t length = 1;
  while (length < wanted && length < text.size() && (byte(length) & 0xc0) == 0x80) ++length;
  const bool control = lead < 0x20 || lead == 0x7f || (lead == 0xc2 && length == 2 && byte(1) < 0xa0);
  const bool whole = length == wanted && (lead < 0x80 || (lead >= 0xc2 && lead < 0xf5));
  return {text.substr(0, length), lead >= 0xe3 ? 2u : 1u, whole && !control};  // wide only from U+3000 on
}

}  // namespace

std::size_t columns(std::string_view text) {
  std::size_t sum = 0;
  while (!text.empty()) {
    const Character c = first_character(text);
    sum += c.columns;
    text.remove_prefix(c.bytes.size());
  }
  return sum;
}

std::string fitted(std::string_view text, std::size_t most) {
  std::string line;
  const bool whole = columns(text) <= most;
  if (!whole && most == 0) return line;
  std::size_t left = whole ? most : most - 1;
  while (!text.empty()) {
    const Character c = first_character(text);
    if (c.columns > left) break;
    left -= c.columns;
    line += c.printable ? c.bytes : "?";
    text.remove_prefix(c.bytes.size());
  }
  if (whole) return line;
  // No word is left open before the ellipsis: "second run…", never "second …".
  while (!line.empty() && (line.back() == ' ' || line.back() == ',')) line.pop_back();
  return line + "…";
}

std::vector<std::string> in_lines(std::string_view text, std::size_t most) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    std::size_t end = text.find(' ');
    const auto follows_number = [&] { return end > 0 && text[end - 1] >= '0' && text[end - 1] <= '9'; };
    while (end < text.size() && follows_number()) end = text.find(' ', end + 1);
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(text.size(), word.size() + 1));
    if (word.empty()) continue;
    if (lines.empty() || columns(lines.back()) + 1 + columns(word) > most) {
      lines.emplace_back(word);
    } else {
      lines.back().append(" ").append(word);
    }
  }
  return lines;
}

}  // namespace gyle
