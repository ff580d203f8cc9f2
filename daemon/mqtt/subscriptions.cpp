#include "mqtt/subscriptions.h"

#include <algorithm>
#include <cstddef>

namespace gyle {
namespace {

std::vector<std::string_view> levels(std::string_view filter) {
  std::vector<std::string_view> parts;
  for (std::size_t slash = 0; (slash = filter.find('/')) != std::string_view::npos;) {
    parts.push_back(filter.substr(0, slash));
    filter.remove_prefix(slash + 1);
  }
  parts.push_back(filter);
  return parts;
}

}  // namespace

bool covers(std::string_view a, std::string_view b) {
  const auto wide = levels(a);
  const auto narrow = levels(b);
  if (b.starts_with('$') && !a.starts_with('$')) return false;  // a leading wildcard leaves these out
  for (std::size_t i = 0; i < wide.size(); ++i) {
    if (wide[i] == "#") return true;
    if (i >= narrow.size() || narrow[i] == "#") return false;
    if (wide[i] != "+" && wide[i] != narrow[i]) return false;
  }
  return narrow.size() == wide.size();
}

std::vector<std::string> without_covered(const std::vector<std::string>& filters) {
  std::vector<std::string> kept;
  for (const std::string& filter : filters) {
    const auto covered = [&filter](const std::string& other) { return covers(other, filter); };
    if (std::any_of(kept.begin(), kept.end(), covered)) continue;
    std::erase_if(kept, [&filter](const std::string& other) { return covers(filter, other); });
    kept.push_back(filter);
  }
  return kept;
}

}  // namespace gyle
