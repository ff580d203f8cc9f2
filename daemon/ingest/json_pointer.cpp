#include "ingest/json_pointer.h"

#include <fmt/format.h>

#include <charconv>

namespace gyle {
namespace {

// ~1 before ~0, so that "~01" is "~1". The form has been checked.
std::string unescaped(std::string_view token) {
  std::string text;
  for (std::size_t i = 0; i < token.size(); ++i) {
    if (token[i] == '~') {
      text += token[++i] == '1' ? '/' : '~';
    } else {
      text += token[i];
    }
  }
  return text;
}

const JsonValue* element(const JsonValue::Array& array, std::string_view token) {
  if (token.empty() || (token.size() > 1 && token.front() == '0')) return nullptr;
  std::size_t index = 0;
  const auto [end, error] = std::from_chars(token.data(), token.data() + token.size(), index);
  const bool whole = error == std::errc{} && end == token.data() + token.size();
  return whole && index < array.size() ? &array[index] : nullptr;
}

}  // namespace

Status check_json_pointer(std::string_view pointer) {
  if (!pointer.empty() && pointer.front() != '/') {
    return fail(Errc::malformed, fmt::format("a JSON Pointer begins with \"/\": \"/{}\"", pointer));
  }
  for (std::size_t i = 0; i < pointer.size(); ++i) {
    if (pointer[i] == '~' && (i + 1 == pointer.size() || (pointer[i + 1] != '0' && pointer[i + 1] != '1'))) {
      return fail(Errc::malformed, "in a JSON Pointer \"~\" is written ~0 and \"/\" inside a key ~1");
    }
  }
  return success();
}

const JsonValue* find(const JsonValue& document, std::string_view pointer) {
  if (!check_json_pointer(pointer)) return nullptr;
  const JsonValue* at = &document;
  while (at && !pointer.empty()) {
    pointer.remove_prefix(1);
    const std::string_view token = pointer.substr(0, pointer.find('/'));
    pointer.remove_prefix(token.size());
    const auto* array = at->array();
    at = array ? element(*array, token) : at->member(unescaped(token));
  }
  return at;
}

}  // namespace gyle
