#pragma once

#include <string>
#include <vector>

namespace gyle {

// Those of `words` that somebody may have meant who typed `typed`: that begin with it (three characters or
// more), or differ from it by at most a third of its characters (deleted, inserted or replaced); the nearest
// first, at most three.
std::vector<std::string> nearest_words(const std::string& typed, const std::vector<std::string>& words);

}  // namespace gyle
