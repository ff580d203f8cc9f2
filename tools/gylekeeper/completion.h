#pragma once

#include <span>
#include <string>

#include "verb.h"

namespace gyle {

// Scripts that make a shell complete verbs, their options, what an option may be, files, and what is in the
// vessels (the daemon is asked; when it does not answer at once, nothing is offered). An option that was
// given and cannot be given again, or not beside another, is not offered.
std::string bash_completion(std::span<const Verb> verbs);
std::string zsh_completion(std::span<const Verb> verbs);

}  // namespace gyle
