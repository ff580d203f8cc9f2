#include "query_text.h"

#include "control/request_target.h"

namespace gyle {

std::string query_text(const std::vector<std::pair<std::string, std::optional<std::string>>>& given) {
  std::string text;
  for (const auto& [name, value] : given) {
    if (value) text += (text.empty() ? "?" : "&") + percent_encoded(name) + "=" + percent_encoded(*value);
  }
  return text;
}

}  // namespace gyle
