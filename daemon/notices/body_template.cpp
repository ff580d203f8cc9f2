#include "notices/body_template.h"

#include <fmt/format.h>

#include <array>
#include <cctype>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "base/text.h"

namespace gyle {
namespace {

using Value = std::string (*)(const Notice&);
constexpr std::array<std::pair<std::string_view, Value>, 10> kValues{{
    {"id", [](const Notice& n) { return n.id; }},
    {"time", [](const Notice& n) { return format_rfc3339(n.time); }},
    {"kind", [](const Notice& n) { return n.kind; }},
    {"severity", [](const Notice& n) { return std::string(name(n.severity)); }},
    {"state", [](const Notice& n) { return n.state; }},
    {"vessel", [](const Notice& n) { return n.vessel; }},
    {"batch", [](const Notice& n) { return n.batch; }},
    {"sensor", [](const Notice& n) { return n.sensor; }},
    {"title", [](const Notice& n) { return n.title; }},
    {"text", [](const Notice& n) { return n.text; }},
}};

Value value_named(std::string_view name) {
  for (const auto& [known, value] : kValues) {
    if (known == name) return value;
  }
  return nullptr;
}

std::string known_names() {
  std::string all;
  for (const auto& [known, value] : kValues) all += fmt::format("{}{{{}}}", all.empty() ? "" : " ", known);
  return all;
}

bool is_letter(char c) { return c >= 'a' && c <= 'z'; }

std::string as_json(const std::string& value) {
  const std::string quoted =
      nlohmann::json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  return quoted.substr(1, quoted.size() - 2);
}

// WHATWG URL, application/x-www-form-urlencoded percent-encode set. By hand: libcurl escapes for paths only.
std::string as_form(const std::string& value) {
  std::string out;
  for (const char c : value) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80 && (std::isalnum(byte) || c == '*' || c == '-' || c == '.' || c == '_')) {
      out += c;
    } else {
      out += c == ' ' ? "+" : fmt::format("%{:02X}", byte);
    }
  }
  return out;
}

std::string as_header(std::string value) {
  constexpr std::size_t kLongest = 1000;
  for (char& c : value) {
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  }
  return displayable(value, kLongest);
}

std::string inserted(const std::string& value, Insert insert) {
  switch (insert) {
    case Insert::json:
      return as_json(value);
    case Insert::form:
      return as_form(value);
    case Insert::header:
      return as_header(value);
    case Insert::plain:
      break;
  }
  return value;
}

}  // namespace

Insert insert_for(std::string_view content_type) {
  const std::string type = lower_case(content_type.substr(0, content_type.find_first_of("; \t")));
  if (type == "application/json" || type == "text/json" || std::string_view(type).ends_with("+json"))
    return Insert::json;
  return type == "application/x-www-form-urlencoded" ? Insert::form : Insert::plain;
}

Result<BodyTemplate> BodyTemplate::parse(std::string_view text) {
  BodyTemplate parsed;
  std::string literal;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char next = i + 1 < text.size() ? text[i + 1] : '\0';
    if (text[i] != '{' || (next != '{' && !is_letter(next))) {
      literal += text[i];
      continue;
    }
    if (next == '{') {
      literal += '{';
      ++i;
      continue;
    }
    const auto end = text.find_first_of("{}\n", i + 1);
    if (end == text.npos || text[end] != '}')
      return fail(Errc::malformed,
                  fmt::format("\"{}\" has no closing brace; write \"{{{{\" for a literal brace",
                              displayable(text.substr(i), 20)));
    const std::string_view name = text.substr(i + 1, end - i - 1);
    const Value value = value_named(name);
    if (value == nullptr)
      return fail(Errc::malformed,
                  fmt::format("\"{{{}}}\" is unknown; valid are {}; write \"{{{{\" for a literal brace",
                              displayable(name), known_names()));
    parsed.parts_.emplace_back(std::exchange(literal, {}), value);
    i = end;
  }
  if (!literal.empty()) parsed.parts_.emplace_back(std::move(literal), nullptr);
  return parsed;
}

std::string BodyTemplate::fill(const Notice& notice, Insert insert) const {
  std::string filled;
  for (const auto& [literal, value] : parts_) {
    filled += literal;
    if (value != nullptr) filled += inserted(value(notice), insert);
  }
  return filled;
}

}  // namespace gyle
