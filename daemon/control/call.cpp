#include "control/call.h"

#include <fmt/format.h>

#include <charconv>

#include "base/rfc3339.h"

namespace gyle {

std::optional<std::string> Call::query(std::string_view name) const {
  const auto found = target.query.find(name);
  return found == target.query.end() ? std::nullopt : std::optional(found->second);
}

Result<std::optional<Time>> Call::time(std::string_view name) const {
  const auto text = query(name);
  if (!text) return std::optional<Time>();
  BOOST_OUTCOME_TRY(parsed, parse_rfc3339(*text));
  return std::optional(parsed);
}

Result<std::optional<int>> Call::number(std::string_view name, int least, int most) const {
  const auto text = query(name);
  if (!text) return std::optional<int>();
  int number = 0;
  const char* const end = text->data() + text->size();
  const auto [stop, error] = std::from_chars(text->data(), end, number);
  if (error != std::errc{} || stop != end || number < least || number > most) {
    return fail(Errc::malformed, fmt::format("{} must be a whole number from {} to {}", name, least, most));
  }
  return std::optional(number);
}

}  // namespace gyle
