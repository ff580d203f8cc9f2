#include "config/toml_reader.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/text.h"

namespace gyle {
namespace {

// Levenshtein 1966.
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i + 1;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t above = row[j + 1];
      row[j + 1] = std::min({above + 1, row[j] + 1, diagonal + (a[i] == b[j] ? 0U : 1U)});
      diagonal = above;
    }
  }
  return row.back();
}

// Indexes of arrays are left out of the keys that are noted: "source[2].topic" is "source.topic".
std::string without_indexes(std::string_view path) {
  std::string key;
  bool inside = false;
  for (const char c : path) {
    inside = inside || c == '[';
    if (!inside) key += c;
    if (c == ']') inside = false;
  }
  return key;
}

// Never null: a value that is no table reads like an empty one.
const TomlValue::Table& table_in(const TomlValue& value) {
  static const TomlValue::Table none;
  const auto* table = std::get_if<TomlValue::Table>(&value.is);
  return table ? *table : none;
}

std::string problem_text(std::string_view key, std::string_view what) {
  constexpr std::size_t kLongest = 500;  // text of the file may be quoted in it
  return displayable(key.empty() ? what : fmt::format("{}: {}", key, what), kLongest);
}

}  // namespace

void TomlProblems::add(int line, std::string_view key, std::string_view what) {
  problems_.push_back({line, std::string(key), problem_text(key, what)});
}

void TomlProblems::add_absence(int line, std::string_view table, std::string_view key,
                               std::string_view what) {
  absences_.push_back({line, std::string(table), problem_text(key, what)});
}

// For the file itself only its own keys, for a table also those within.
bool TomlProblems::may_be_misspelt(std::string_view table) const {
  return std::any_of(problems_.begin(), problems_.end(), [table](const Problem& one) {
    if (table.empty())
      return one.key.find('.') == std::string::npos && one.key.find('[') == std::string::npos;
    return one.key.starts_with(table) && (one.key.size() == table.size() || one.key[table.size()] == '.');
  });
}

Status TomlProblems::status() const {
  constexpr std::size_t kMost = 20;
  std::vector<Problem> all = problems_;
  const auto by_line = [](const Problem& a, const Problem& b) { return a.line < b.line; };
  std::stable_sort(all.begin(), all.end(), by_line);
  std::vector<Problem> absences = absences_;
  std::erase_if(absences, [this](const Problem& one) { return may_be_misspelt(one.key); });
  std::stable_sort(absences.begin(), absences.end(), by_line);
  all.insert(all.end(), absences.begin(), absences.end());
  if (all.empty()) return success();
  std::string lines;
  for (std::size_t i = 0; i < std::min(all.size(), kMost); ++i) {
    lines += fmt::format("{}{}:{}: {}", lines.empty() ? "" : "\n", file_name_, all[i].line, all[i].text);
  }
  if (all.size() > kMost)
    lines += fmt::format("\n{}:{}: and {} more", file_name_, all[kMost].line, all.size() - kMost);
  return fail(Errc::malformed, lines);
}

TomlTable::TomlTable(const TomlValue& value, std::string path, TomlProblems& problems)
    : value_(value), table_(table_in(value)), path_(std::move(path)), problems_(problems) {
  if (!std::holds_alternative<TomlValue::Table>(value.is))
    problems_.add(value.line, path_, "a table of keys and values is expected");
}

const TomlValue* TomlTable::find(std::string_view key) {
  asked_.emplace_back(key);
  problems_.asked_for(without_indexes(path_of(key)));
  for (const auto& [name, value] : table_) {
    if (name == key) return &value;
  }
  return nullptr;
}

bool TomlTable::read(std::string_view key, std::string& into, std::string_view example) {
  const TomlValue* value = find(key);
  if (!value) return false;
  const auto* text = std::get_if<std::string>(&value->is);
  if (text && !is_clean_text(*text)) {
    problem(key, "it holds a control character, or one that cannot be seen");
    return false;
  }
  if (!text) {
    problem(key, fmt::format("text in quotation marks is expected{}{}", example.empty() ? "" : ", such as ",
                             example));
    return false;
  }
  into = *text;
  return true;
}

bool TomlTable::read(std::string_view key, bool& into) {
  const TomlValue* value = find(key);
  if (!value) return false;
  const auto* truth = std::get_if<bool>(&value->is);
  if (!truth) {
    problem(key, "true or false is expected");
    return false;
  }
  into = *truth;
  return true;
}

bool TomlTable::read(std::string_view key, int& into, int lowest, int highest) {
  const TomlValue* value = find(key);
  if (!value) return false;
  const auto* number = std::get_if<std::int64_t>(&value->is);
  if (!number || *number < lowest || *number > highest) {
    problem(key, fmt::format("a whole number from {} to {} is expected", lowest, highest));
    return false;
  }
  into = static_cast<int>(*number);
  return true;
}

bool TomlTable::read(std::string_view key, double& into, double lowest, double highest) {
  const TomlValue* value = find(key);
  if (!value) return false;
  const auto number = number_in(*value);
  if (!number || *number < lowest || *number > highest) {
    problem(key, fmt::format("a number from {} to {} is expected", lowest, highest));
    return false;
  }
  into = *number;
  return true;
}

bool TomlTable::read(std::string_view key, std::vector<std::string>& into) {
  const TomlValue* value = find(key);
  if (!value) return false;
  const auto* array = std::get_if<TomlValue::Array>(&value->is);
  std::vector<std::string> texts;
  for (std::size_t i = 0; array && i < array->size(); ++i) {
    const TomlValue& element = (*array)[i];
    const auto* text = std::get_if<std::string>(&element.is);
    if (text) texts.push_back(*text);
  }
  if (!std::all_of(texts.begin(), texts.end(), is_clean_text)) {
    problem(key, "one of them holds a control character, or one that cannot be seen");
    return false;
  }
  if (!array || texts.size() != array->size()) {
    problem(key, "a list of texts is expected, such as [\"one\", \"two\"]");
    return false;
  }
  into = std::move(texts);
  return true;
}

std::vector<const TomlValue*> TomlTable::tables(std::string_view key) {
  const TomlValue* value = find(key);
  if (!value) return {};
  const auto* array = std::get_if<TomlValue::Array>(&value->is);
  if (!array) {
    problem(key, fmt::format("write [[{}]], one block for each", path_of(key)));
    return {};
  }
  std::vector<const TomlValue*> elements;
  for (const TomlValue& element : *array) elements.push_back(&element);
  return elements;
}

void TomlTable::problem(std::string_view key, std::string_view what) {
  int line = value_.line;
  for (const auto& [name, value] : table_) {
    if (name == key) line = value.line;
  }
  problems_.add(line, path_of(key), what);
}

void TomlTable::must_have(std::string_view key, std::string_view example) {
  if (has(key)) return;
  problems_.add_absence(value_.line, path_, path_of(key),
                        fmt::format("missing; write for example {} = {}", key, example));
}

std::string TomlTable::path_of(std::string_view key) const {
  if (key.empty()) return path_;
  return path_.empty() ? std::string(key) : fmt::format("{}.{}", path_, key);
}

void TomlTable::finish() {
  for (const auto& [name, value] : table_) {
    if (std::find(asked_.begin(), asked_.end(), name) != asked_.end()) continue;
    const std::string near = nearest(name, asked_);
    problems_.add(
        value.line, path_of(displayable(name)),
        near.empty() ? "not a key known here" : fmt::format("not a key known here; is \"{}\" meant?", near));
  }
}

std::optional<double> number_in(const TomlValue& value) {
  if (const auto* integer = std::get_if<std::int64_t>(&value.is)) return static_cast<double>(*integer);
  if (const auto* real = std::get_if<double>(&value.is); real && std::isfinite(*real)) return *real;
  return std::nullopt;
}

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
  constexpr std::size_t kLongest = 64;
  if (word.size() > kLongest) return "";
  std::string best;
  std::size_t best_distance = std::max<std::size_t>(2, word.size() / 2) + 1;
  for (const std::string& candidate : candidates) {
    const std::size_t distance = edit_distance(word, candidate);
    if (distance < best_distance) {
      best_distance = distance;
      best = candidate;
    }
  }
  return best;
}

}  // namespace gyle
