#pragma once

#include <span>
#include <string>

#include "verb.h"

namespace gyle {

// What --help shows: lines of at most 90 characters, where words allow, for a terminal.
std::string tool_help(std::span<const Verb> verbs);
std::string verb_help(const Verb& verb);

}  // namespace gyle
