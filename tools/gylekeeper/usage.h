#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "verb.h"

namespace gyle {

// How help, manual and completions name a verb's arguments.

bool by_place(const Argument& argument);  // no option
bool is_flag(const Argument& argument);
bool may_repeat(const Argument& argument);

// "TIME": what the argument calls it; else its choices when they are few, FILE, NUMBER, or its name:
// GRAVITY of --original-gravity, TIME of --at.
std::string value_name(const Argument& argument);

// "BATCH", "[--at TIME]", "--hold TEXT...".
std::string usage(const Argument& argument);
// What follows "gylekeeper": {"sample", "BATCH", "GRAVITY", "[--at TIME]"}.
std::vector<std::string> usage(const Verb& verb);

// What it is, and what else holds: "of the sample, as "24 C"; not with --refractometer".
std::string full_about(const Argument& argument);

// "a", "a or b", "a, b or c".
std::string either(const std::vector<std::string>& words);

// "Enter a gravity": for the beginning of a sentence.
std::string capitalised(std::string text);

// What the codes mean that the tool ends with, in their order from 0.
extern const std::vector<const char*> kExitMeanings;

}  // namespace gyle
