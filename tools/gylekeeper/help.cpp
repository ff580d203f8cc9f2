#include "help.h"

#include <fmt/format.h>

#include <sstream>
#include <vector>

#include "usage.h"

namespace gyle {
namespace {

constexpr std::size_t kWidth = 90;
constexpr std::size_t kColumn = 24;  // where what an argument is begins

// The pieces one after the other, in lines; those after the first begin with `indent` spaces.
std::string lines(const std::string& begin, const std::vector<std::string>& pieces, std::size_t indent) {
  std::string text = begin;
  std::size_t width = begin.size();
  bool first = true;
  for (const std::string& piece : pieces) {
    if (!first && width + 1 + piece.size() > kWidth) {
      text += "\n" + std::string(indent, ' ');
      width = indent;
      first = true;
    }
    text += (first ? "" : " ") + piece;
    width += piece.size() + (first ? 0 : 1);
    first = false;
  }
  return text + "\n";
}

std::vector<std::string> words(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> all;
  for (std::string word; stream >> word;) all.push_back(word);
  return all;
}

// Two columns.
std::string row(const std::string& name, const std::string& about) {
  std::string begin = "  " + name;
  if (begin.size() + 2 > kColumn) {
    begin += "\n" + lines(std::string(kColumn, ' '), words(about), kColumn);
    return begin;
  }
  begin.resize(kColumn, ' ');
  return lines(begin, words(about), kColumn);
}

std::string row(const Argument& argument) {
  std::string name = by_place(argument) ? "" : argument.name;
  if (!is_flag(argument)) name += (name.empty() ? "" : " ") + value_name(argument);
  return row(name, full_about(argument) + (may_repeat(argument) ? "; may be given several times" : ""));
}

// Paragraphs in lines; a line that begins with a space stays as it is.
std::string paragraphs(const std::string& text) {
  std::string all;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    all += line.rfind(' ', 0) == 0 ? line + "\n" : lines("", words(line), 0);
  }
  return all;
}

}  // namespace

std::string verb_help(const Verb& verb) {
  std::string text = "gylekeeper " + verb.name + ": " + verb.about + "\n\n";
  text += lines("Usage: gylekeeper ", usage(verb), 7 + std::string("gylekeeper ").size());
  const auto table = [&](const char* title, bool place) {
    std::string rows;
    for (const Argument& argument : verb.arguments) {
      if (by_place(argument) == place) rows += row(argument);
    }
    if (!rows.empty()) text += fmt::format("\n{}{}", title, rows);
  };
  table("", true);
  table("Options:\n", false);
  if (!verb.notes.empty()) text += "\n" + paragraphs(verb.notes);
  text += "\nFor example\n";
  for (const std::string& example : verb.examples) text += "  " + example + "\n";
  text += "\nEvery verb takes --config FILE, --socket FILE and --json: see gylekeeper --help.\n";
  return text;
}

std::string tool_help(std::span<const Verb> verbs) {
  std::string text =
      "Keeps watch over fermenting beer: talks to the running daemon, or works without it.\n\n"
      "Usage: gylekeeper VERB [ARGUMENT]...\n\nVerbs:\n";
  for (const Verb& verb : verbs) text += row(verb.name, verb.about);
  text += "\nOptions of every verb:\n";
  CommonOptions common;
  for (const Argument& argument : common_arguments(common)) text += row(argument);
  text += row("--help", "shows this, or what a verb takes, with an example") +
          row("--version", "shows the version") + "\nExit codes:";
  for (std::size_t code = 0; code < kExitMeanings.size(); ++code) {
    text += fmt::format("{} {} {}", code == 0 ? "" : ";", code, kExitMeanings[code]);
  }
  return text + ".\n";
}

}  // namespace gyle
