#pragma once

#include <filesystem>

#include "wording/check_lines.h"

namespace gyle {

// What this machine shows of what the watch depends on; each takes microseconds. The rules are in wording/check_lines.h.

// Whether the kernel's clock is synchronised, and by whom. Inside the unit's sandbox the kernel is not asked:
// then only systemd-timesyncd's own mark is seen.
//   source  adjtimex(2): a maximum error below 16 s, which the kernel reaches when nobody corrects it
ClockFacts clock_facts();

// Sizes and free room. Nothing is read: `trouble` and `holds` are empty.
DatabaseFacts database_facts(const std::filesystem::path& database);

}  // namespace gyle
