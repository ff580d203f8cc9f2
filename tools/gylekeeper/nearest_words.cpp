#include "nearest_words.h"

#include <algorithm>
#include <numeric>

namespace gyle {
namespace {

// Levenshtein 1966: how many characters must be inserted, deleted or replaced.
std::size_t distance(const std::string& a, const std::string& b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t exchanged = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, exchanged});
    }
  }
  return row[b.size()];
}

}  // namespace

std::vector<std::string> nearest_words(const std::string& typed, const std::vector<std::string>& words) {
  std::vector<std::pair<std::size_t, std::string>> near;
  for (const std::string& word : words) {
    const std::size_t apart = distance(typed, word);
    if (apart * 3 <= typed.size()) {
      near.emplace_back(apart, word);
    } else if (typed.size() >= 3 && word.rfind(typed, 0) == 0) {
      near.emplace_back(typed.size(), word);
    }
  }
  std::stable_sort(near.begin(), near.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::string> found;
  for (std::size_t i = 0; i < near.size() && i < 3; ++i) found.push_back(near[i].second);
  return found;
}

}  // namespace gyle
