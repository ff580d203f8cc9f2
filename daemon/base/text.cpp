#include "base/text.h"

#include <fmt/format.h>

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

// C0 and C1 controls and DEL.
bool is_control(std::string_view sequence) {
  const unsigned lead = byte_at(sequence, 0);
  return lead < 0x20 || lead == 0x7F || (lead == 0xC2 && byte_at(sequence, 1) < 0xA0);
}

}  // namespace

std::string displayable(std::string_view bytes, std::size_t max_bytes) {
  std::string text;
  for (std::size_t i = 0; i < bytes.size() && i < max_bytes;) {
    const std::size_t length = sequence_length(bytes.substr(i));
    if (length == 0 || is_control(bytes.substr(i, length))) {
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
    if (length == 0 || is_control(text.substr(i, length))) return false;
    i += length;
  }
  return true;
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
