#include "wording/first_sentence.h"

#include "wording/fitted_text.h"

namespace gyle {

std::string first_sentence(std::string_view text) {
  for (std::size_t i = text.find(". "); i != std::string_view::npos; i = text.find(". ", i + 1)) {
    if (i + 2 < text.size() && text[i + 2] >= 'A' && text[i + 2] <= 'Z') {
      return std::string(text.substr(0, i + 1));
    }
  }
  return std::string(text);
}

std::string name_in_sentence(std::string_view name, std::size_t most) {
  constexpr const char* kNoBreakSpace = "\u00a0";
  std::string joined = fitted(name, most);
  for (auto i = joined.find(". "); i != std::string::npos; i = joined.find(". ", i)) {
    joined.replace(i + 1, 1, kNoBreakSpace);
  }
  return joined;
}

}  // namespace gyle
