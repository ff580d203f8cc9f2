#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace gyle {

// A locked phone shows so much of a message.
constexpr std::size_t kFirstSentence = 160;

// The first sentence of a text of ours, its full stop included. A full stop ends a sentence when a space and
// a capital letter follow.
std::string first_sentence(std::string_view text);

// A name as it may stand in a sentence: at most `most` columns, and no full stop in it is taken for the
// sentence's end ("St. Brigid" keeps its two words together by a space that does not break).
std::string name_in_sentence(std::string_view name, std::size_t most);

}  // namespace gyle
