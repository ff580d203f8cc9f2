#include "control/note_text.h"

#include <algorithm>

#include "base/text.h"

namespace gyle {
namespace {

constexpr std::size_t kMostCharacters = 2000;

}  // namespace

Result<std::string> note_text(std::string_view body) {
  std::string text;
  for (std::size_t i = 0; i < body.size(); ++i) {
    if (body[i] == '\r' && i + 1 < body.size() && body[i + 1] == '\n') continue;
    text += body[i];
  }
  constexpr const char* kBlank = " \t\n";
  const std::size_t begin = text.find_first_not_of(kBlank);
  if (begin == std::string::npos) return fail(Errc::malformed, "the note is empty; write something");
  text = text.substr(begin, text.find_last_not_of(kBlank) + 1 - begin);
  std::string in_one_line = text;
  std::replace_if(
      in_one_line.begin(), in_one_line.end(), [](char c) { return c == '\n' || c == '\t'; }, ' ');
  if (!is_clean_text(in_one_line)) {
    return fail(Errc::malformed, "a note must be text in UTF-8, without control or invisible characters");
  }
  const auto characters = static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
  if (characters > kMostCharacters) {
    return fail(Errc::malformed, "a note has at most 2000 characters; make two of it");
  }
  return text;
}

}  // namespace gyle
