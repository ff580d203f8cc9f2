#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace gyle {

// How wide `text` is shown: a column for each character, two for the wide ones of East Asia.
std::size_t columns(std::string_view text);

// `text` cut to at most `most` columns, with an ellipsis where something is missing; each control character
// and each byte that is not UTF-8 becomes a question mark.
std::string fitted(std::string_view text, std::size_t most);

// `text` as lines of at most `most` columns, cut between words, but not between a number and what
// follows it; what is longer has a line of its own.
std::vector<std::string> in_lines(std::string_view text, std::size_t most);

}  // namespace gyle
