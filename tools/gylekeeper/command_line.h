#pragma once

#include <span>
#include <variant>

#include "verb.h"

namespace gyle {

// What was asked for.
struct Invocation {
  CommonOptions common;
  const Verb* verb;  // one of those given
};

// Reads the arguments and puts what they say into the places of the verb that was asked for. When there is
// nothing left to do it has said so already (help, version, or what was wrong) and the exit code comes back
// instead.
std::variant<Invocation, Exit> parse_command_line(std::span<const Verb> verbs, int argc,
                                                  const char* const* argv);

}  // namespace gyle
