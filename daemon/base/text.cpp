#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace gyle {
namespace {

unsigned byte_at(std::string_view text, std::size_t i) { return static_cast<unsigned char>(text[i]); }

// Length of the UTF-8 sequence that `text` begins with (RFC 3629 section 4); 0 when it begins with none.
std::size_t sequence_length(std::string_view text) {
  const unsigned lead = byte_at(text, 0);
  if (lead < 0x80) return 1;
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || text.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte_at(text, i) & 0xC0U) != 0x80) return 0;
  }
  const unsigned second = byte_at(text, 1);
  const bool overlong = (lead == 0xE0 && second < 0xA0) || (lead == 0xF0 && second < 0x90);
  const bool surrogate = lead == 0xED && second > 0x9F;
  const bool beyond_unicode = lead == 0xF4 && second > 0x8F;
  return overlong || surrogate || beyond_unicode ? 0 : length;
}

// The code point of a well-formed sequence.
char32_t code_point(std::string_view sequence) {
  if (sequence.size() == 1) return byte_at(sequence, 0);
  char32_t code = byte_at(sequence, 0) & (0x7FU >> sequence.size());
  for (std::size_t i = 1; i < sequence.size(); ++i) code = code << 6U | (byte_at(sequence, i) & 0x3FU);
  return code;
}

struct CodeRange {
  char32_t first;
  char32_t last;
};

template <std::size_t n>
bool within(const CodeRange (&sorted)[n], char32_t code) {
  const auto* const range = std::partition_point(std::begin(sorted), std::end(sorted),
                                                 [code](const CodeRange& one) { return one.last < code; });
  return range != std::end(sorted) && range->first <= code;
}

// What shows nothing, or turns the text around it: the categories Cc, Cf, Zl and Zp of Unicode 15, and the
// blocks and letters that its property Default_Ignorable_Code_Point adds. The variation selectors
// U+FE00 to U+FE0F are left out: many an emoji ends with one.
constexpr CodeRange kHidden[] = {
    {0x0000, 0x001F},   {0x007F, 0x009F},   {0x00AD, 0x00AD},   {0x034F, 0x034F},   {0x0600, 0x0605},
    {0x061C, 0x061C},   {0x06DD, 0x06DD},   {0x070F, 0x070F},   {0x0890, 0x0891},   {0x08E2, 0x08E2},
    {0x115F, 0x1160},   {0x17B4, 0x17B5},   {0x180B, 0x180F},   {0x200B, 0x200F},   {0x2028, 0x202E},
    {0x2060, 0x206F},   {0x3164, 0x3164},   {0xFEFF, 0xFEFF},   {0xFFA0, 0xFFA0},   {0xFFF0, 0xFFFB},
    {0x110BD, 0x110BD}, {0x110CD, 0x110CD}, {0x13430, 0x1343F}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A},
    {0xE0000, 0xE0FFF},
};

// The category Zs, and the pattern of Braille that has no dot.
constexpr CodeRange kSpaces[] = {{0x0020, 0x0020}, {0x00A0, 0x00A0}, {0x1680, 0x1680}, {0x2000, 0x200A},
                                 {0x202F, 0x202F}, {0x205F, 0x205F}, {0x2800, 0x2800}, {0x3000, 0x3000}};

bool is_hidden(std::string_view sequence) { return within(kHidden, code_point(sequence)); }

}  // namespace

std::string displayable(std::string_view bytes, std::size_t max_bytes) {
  std::string text;
  for (std::size_t i = 0; i < bytes.size() && i < max_bytes;) {
    const std::size_t length = sequence_length(bytes.substr(i));
    if (length == 0 || is_hidden(bytes.substr(i, length))) {
      text += '?';
      ++i;
      continue;
    }
    if (i + length > max_bytes) break;
    text += bytes.substr(i, length);
    i += length;
  }
  return text;
}

bool is_clean_text(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = sequence_length(text.substr(i));
    if (length == 0 || is_hidden(text.substr(i, length))) return false;
    i += length;
  }
  return true;
}

bool is_name(std::string_view text, std::size_t longest) {
  if (text.size() > longest || !is_clean_text(text)) return false;
  while (!text.empty()) {
    const std::string_view sequence = text.substr(0, sequence_length(text));
    if (!within(kSpaces, code_point(sequence))) return true;
    text.remove_prefix(sequence.size());
  }
  return false;
}

bool is_utf8(std::string_view text) {
  while (!text.empty()) {
    const std::size_t length = sequence_length(text);
    if (length == 0) return false;
    text.remove_prefix(length);
  }
  return true;
}

std::string from_latin1(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80) {
      out += c;
    } else if (byte < 0xA0) {
      out += '?';
    } else {
      out += static_cast<char>(0xC0U | (byte >> 6U));
      out += static_cast<char>(0x80U | (byte & 0x3FU));
    }
  }
  return out;
}

std::string single_spaced(std::string_view text) {
  std::string out;
  bool gap = false;
  for (const char c : text) {
    if (c == ' ' || c == '\t') {
      gap = !out.empty();
      continue;
    }
    if (gap) out += ' ';
    gap = false;
    out += c;
  }
  return out;
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kWhite = " \t\n\v\f\r";
  text.remove_prefix(std::min(text.find_first_not_of(kWhite), text.size()));
  return text.substr(0, text.find_last_not_of(kWhite) + 1);
}

std::string lower_case(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

std::string folded(std::string_view text) {
  std::string out = single_spaced(text);
  bool latin = false;
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    // UTF-8: the capitals of Latin-1 lie 32 before their small letters, but for the sign of multiplication.
    const auto byte = static_cast<unsigned char>(c);
    if (latin && byte >= 0x80 && byte <= 0x9E && byte != 0x97) c = static_cast<char>(byte + 0x20);
    latin = byte == 0xC3;
  }
  return out;
}

std::string toml_quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto code = static_cast<unsigned char>(c);
    if (code < 0x20 || code == 0x7F) {
      out += fmt::format("\\u{:04X}", code);
      continue;
    }
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

}  // namespace gyle
