#include "base/zone_words.h"

#include <algorithm>

namespace gyle {

std::string zone_words(std::string_view name) {
  if (name == "Etc/UTC") return "UTC";
  const std::size_t slash = name.rfind('/');
  if (slash == std::string_view::npos || name.starts_with("Etc/")) return std::string(name);
  std::string place(name.substr(slash + 1));
  std::replace(place.begin(), place.end(), '_', ' ');
  return place + " time";
}

}  // namespace gyle
