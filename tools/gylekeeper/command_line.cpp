#include "command_line.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>

namespace gyle {
namespace {

// Only a vector may be given more than once.
CLI::Option* add(CLI::App& app, const Argument& argument) {
  CLI::Option* option = std::visit(
      [&](auto* place) {
        if constexpr (std::is_same_v<decltype(place), bool*>) {
          return app.add_flag(argument.name, *place, argument.about);
        } else {
          return app.add_option(argument.name, *place, argument.about);
        }
      },
      argument.place);
  if (argument.required) option->required();
  if (!argument.choices.empty()) option->check(CLI::IsMember(argument.choices));
  if (argument.check) option->check(argument.check);
  return option;
}

// Lines of no more than 90 characters, cut between words.
std::string wrapped(const std::string& text) {
  constexpr std::size_t kWidth = 90;
  std::string lines = text;
  std::size_t begin = 0;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i] == '\n') begin = i + 1;
    if (lines[i] != ' ') continue;
    const std::size_t end = std::min(lines.find_first_of(" \n", i + 1), lines.size());
    if (end - begin <= kWidth) continue;
    lines[i] = '\n';
    begin = i + 1;
  }
  return lines;
}

std::string footer(const Verb& verb) {
  std::string text = wrapped(verb.notes);
  if (!text.empty()) text += "\n\n";
  for (const std::string& example : verb.examples) {
    text += fmt::format("{}  {}", &example == verb.examples.data() ? "For example\n" : "\n", example);
  }
  return text;
}

void add(CLI::App& app, const Verb& verb, const Verb*& asked_for) {
  CLI::App* sub = app.add_subcommand(verb.name, verb.about);
  for (const Argument& argument : verb.arguments) add(*sub, argument);
  for (const Argument& argument : verb.arguments) {
    CLI::Option* option = sub->get_option(argument.name);
    for (const std::string& other : argument.needs) option->needs(sub->get_option(other));
    for (const std::string& other : argument.excludes) option->excludes(sub->get_option(other));
  }
  sub->footer(footer(verb));
  sub->callback([&asked_for, &verb] { asked_for = &verb; });
}

}  // namespace

std::variant<Invocation, Exit> parse_command_line(std::span<const Verb> verbs, int argc,
                                                  const char* const* argv) {
  CLI::App app("Keeps watch over fermenting beer: talks to the running daemon, or works without it.",
               "gylekeeper");
  app.set_version_flag("--version", "gylekeeper " GYLE_VERSION);
  app.require_subcommand(1);
  app.fallthrough();
  Invocation invocation{{}, nullptr};
  for (const Argument& argument : common_arguments(invocation.common)) add(app, argument);
  for (const Verb& verb : verbs) add(app, verb, invocation.verb);
  app.footer(
      "gylekeeper VERB --help tells more of each, with an example.\n\n"
      "Exit codes: 0 it worked; 1 it was refused or failed; 2 the command, a file or a number was wrong; "
      "3 the daemon does not answer.");
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& told) {  // help or version was asked for
    app.exit(told);
    return Exit::ok;
  } catch (const CLI::ParseError& wrong) {
    fmt::print(stderr, "gylekeeper: {} (gylekeeper --help tells more)\n", wrong.what());
    return Exit::wrong_use;
  }
  return invocation;
}

}  // namespace gyle
