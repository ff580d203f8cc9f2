#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace gyle {

// A locked phone shows this much of a message.
constexpr std::size_t kFirstSentence = 160;

// The first sentence of a text that wording/ made, its full stop included. A full stop ends a sentence when a space and
// a capital letter follow.
std::string first_sentence(std::string_view text);

// A name for use in a sentence: at most `most` columns, and no full stop in it is taken for the end of the
// sentence ("St. Brigid" keeps its two words together by a space that does not break).
std::string name_in_sentence(std::string_view name, std::size_t most);

}  // namespace gyle
