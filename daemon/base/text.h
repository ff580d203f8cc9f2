#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace gyle {

// The first `max_bytes` bytes of anything at all as text that can be shown and put into JSON: valid UTF-8 of
// the same length (a character is never cut in two), each byte that is not, and each byte of a control or
// invisible character, replaced by '?'.
std::string displayable(std::string_view bytes, std::size_t max_bytes = 64);

// Whether `text` is valid UTF-8 without control characters, characters that cannot be seen (zero width, soft
// hyphen, line and paragraph separator) and those that change the direction of others. Unicode 15.
bool is_clean_text(std::string_view text);

// Whether `text` can name something: clean, more than spaces, and of at most `longest` bytes.
bool is_name(std::string_view text, std::size_t longest);

// Whether `text` is valid UTF-8 (RFC 3629).
bool is_utf8(std::string_view text);

// Text in Latin-1 (ISO 8859-1) as UTF-8. What that leaves undefined, 0x80 to 0x9F, becomes '?'.
std::string from_latin1(std::string_view text);

// Without spaces at the ends, and each run of spaces and tabs as one space.
std::string single_spaced(std::string_view text);

// Without white space (of ASCII) at the ends.
std::string_view trimmed(std::string_view text);

// With the letters of ASCII small and everything else as it is.
std::string lower_case(std::string_view text);

// As two names are compared that mean the same: single_spaced, and the letters of ASCII and Latin-1 small.
std::string folded(std::string_view text);

// `text` between quotation marks as a basic string of TOML 1.0.
std::string toml_quoted(std::string_view text);

}  // namespace gyle
