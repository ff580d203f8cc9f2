#include "command_line.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>

#include "help.h"
#include "nearest_words.h"
#include "usage.h"

namespace gyle {
namespace {

// Only a vector may be given more than once.
CLI::Option* add(CLI::App& app, const Argument& argument) {
  CLI::Option* option = std::visit(
      [&](auto* place) {
        if constexpr (std::is_same_v<decltype(place), bool*>) {
          return app.add_flag(argument.name, *place);
        } else {
          return app.add_option(argument.name, *place)->type_name(value_name(argument));
        }
      },
      argument.place);
  if (argument.required) option->required();
  // An option takes the one value that follows it, and leaves the next for its place.
  if (!by_place(argument) && may_repeat(argument)) option->allow_extra_args(false);
  if (!argument.choices.empty()) {
    option->check([choices = argument.choices](const std::string& given) {
      const bool known = std::find(choices.begin(), choices.end(), given) != choices.end();
      return known ? "" : fmt::format("must be {}, not \"{}\"", either(choices), given);
    });
  }
  if (argument.check) option->check(argument.check);
  return option;
}

void add(CLI::App& app, const Verb& verb, const Verb*& asked_for) {
  CLI::App* sub = app.add_subcommand(verb.name);
  for (const Argument& argument : verb.arguments) add(*sub, argument);
  for (const Argument& argument : verb.arguments) {
    CLI::Option* option = sub->get_option(argument.name);
    for (const std::string& other : argument.needs) option->needs(sub->get_option(other));
    for (const std::string& other : argument.excludes) option->excludes(sub->get_option(other));
  }
  sub->formatter_fn(
      [&verb](const CLI::App*, const std::string&, CLI::AppFormatMode) { return verb_help(verb); });
  sub->callback([&asked_for, &verb] { asked_for = &verb; });
}

std::string meant(const std::string& typed, const std::vector<std::string>& known) {
  const std::vector<std::string> near = nearest_words(typed, known);
  return near.empty() ? "" : fmt::format("; did you mean {}?", either(near));
}

// What was wrong with the command, and what may have been meant.
std::string complaint_of(const CLI::App& app, std::span<const Verb> verbs, const CLI::ParseError& wrong) {
  const std::vector<std::string> unknown = app.remaining(true);
  const CLI::App* verb = app.get_subcommands().empty() ? nullptr : app.get_subcommands().front();
  if (unknown.empty()) {
    return verb != nullptr ? wrong.what() : "a verb is missing, as in gylekeeper status";
  }
  const std::string& first = unknown.front();
  std::vector<std::string> known;
  if (first.rfind('-', 0) == 0) {
    for (const CLI::App* level : {&app, verb}) {
      if (level == nullptr) continue;
      for (const CLI::Option* option : level->get_options()) known.push_back(option->get_name());
    }
    return fmt::format("there is no option {}{}", first, meant(first, known));
  }
  if (verb != nullptr) return fmt::format("{1} does not take \"{0}\" as well", first, verb->get_name());
  for (const Verb& one : verbs) known.push_back(one.name);
  return fmt::format("there is no verb \"{}\"{}", first, meant(first, known));
}

}  // namespace

std::variant<Invocation, Exit> parse_command_line(std::span<const Verb> verbs, int argc,
                                                  const char* const* argv) {
  CLI::App app("", "gylekeeper");
  app.formatter_fn(
      [verbs](const CLI::App*, const std::string&, CLI::AppFormatMode) { return tool_help(verbs); });
  app.set_version_flag("--version", "gylekeeper " GYLE_VERSION);
  app.require_subcommand(1);
  app.fallthrough();
  Invocation invocation{{}, nullptr};
  for (const Argument& argument : common_arguments(invocation.common)) add(app, argument);
  for (const Verb& verb : verbs) add(app, verb, invocation.verb);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& shown) {  // help or version was asked for
    app.exit(shown);
    return Exit::ok;
  } catch (const CLI::ParseError& wrong) {
    const auto subcommands = app.get_subcommands();
    return complain(
        Error{Errc::malformed, fmt::format("{} (see gylekeeper {}--help)", complaint_of(app, verbs, wrong),
                                           subcommands.empty() ? "" : subcommands.front()->get_name() + " ")},
        Exit::wrong_use);
  }
  return invocation;
}

}  // namespace gyle
