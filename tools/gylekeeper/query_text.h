#pragma once

#include <optional>
#include <string>
#include <vector>

namespace gyle {

// "?name=value&..." of what is given, percent-encoded; "" when nothing is.
std::string query_text(const std::vector<std::pair<std::string, std::optional<std::string>>>& given);

}  // namespace gyle
