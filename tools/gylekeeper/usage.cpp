#include "usage.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <iterator>

namespace gyle {
namespace {

std::string upper(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return text;
}

}  // namespace

const std::vector<const char*> kExitMeanings{"it worked", "it was refused or failed",
                                             "the command, a file or a number was wrong",
                                             "the daemon does not answer"};

bool by_place(const Argument& argument) { return argument.name.rfind("--", 0) != 0; }
bool is_flag(const Argument& argument) { return std::holds_alternative<bool*>(argument.place); }
bool may_repeat(const Argument& argument) {
  return std::holds_alternative<std::vector<std::string>*>(argument.place);
}

std::string value_name(const Argument& argument) {
  if (!argument.value.empty()) return argument.value;
  constexpr std::size_t kFew = 30;
  if (const std::string all = fmt::format("{}", fmt::join(argument.choices, "|"));
      !all.empty() && all.size() <= kFew) {
    return all;
  }
  if (by_place(argument)) return upper(argument.name);
  if (argument.offer == Offer::files && argument.choices.empty()) return "FILE";
  if (std::holds_alternative<std::uint64_t*>(argument.place) ||
      std::holds_alternative<std::optional<std::uint64_t>*>(argument.place)) {
    return "NUMBER";
  }
  const std::string last = argument.name.substr(argument.name.rfind('-') + 1);
  for (const char* when : {"at", "by", "from", "until", "since"}) {
    if (last == when) return "TIME";
  }
  return upper(last);
}

std::string usage(const Argument& argument) {
  std::string text = by_place(argument) ? "" : argument.name;
  if (!is_flag(argument)) text += (text.empty() ? "" : " ") + value_name(argument);
  if (!argument.required) text = "[" + text + "]";
  return may_repeat(argument) ? text + "..." : text;
}

std::vector<std::string> usage(const Verb& verb) {
  std::vector<std::string> all{verb.name};
  for (const bool place : {true, false}) {
    for (const bool required : {true, false}) {
      for (const Argument& argument : verb.arguments) {
        if (by_place(argument) == place && argument.required == required) all.push_back(usage(argument));
      }
    }
  }
  return all;
}

std::string full_about(const Argument& argument) {
  std::string text = argument.about;
  const auto listed = [&text](const std::string& choice) { return text.find(choice) != std::string::npos; };
  if (!std::all_of(argument.choices.begin(), argument.choices.end(), listed)) {
    text += ": " + either(argument.choices);
  }
  if (!argument.needs.empty()) text += fmt::format("; only with {}", fmt::join(argument.needs, " and "));
  if (!argument.excludes.empty()) text += "; not with " + either(argument.excludes);
  return text;
}

std::string either(const std::vector<std::string>& words) {
  if (words.empty()) return "";
  if (words.size() == 1) return words.front();
  return fmt::format("{} or {}", fmt::join(words.begin(), std::prev(words.end()), ", "), words.back());
}

std::string capitalised(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

}  // namespace gyle
