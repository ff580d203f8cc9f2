#pragma once

#include <span>
#include <string>

#include "verb.h"

namespace gyle {

// Manual pages of section 1 as man(7) has them, for groff and mandoc alike.

// What is printed at the edges of a page.
struct Edition {
  std::string version;  // "0.1.0"
  std::string date;     // "2026-03-01"
};

// gylekeeper(1): what there is.
std::string tool_manual(std::span<const Verb> verbs, const Edition& edition);
// gylekeeper-VERB(1): all about one verb.
std::string verb_manual(const Verb& verb, const Edition& edition);

}  // namespace gyle
