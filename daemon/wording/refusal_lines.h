#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "ingest/refusal.h"
#include "wording/display.h"

namespace gyle {

// Refused messages: how often for each reason, then the newest ones, newest first, each with what it was about
// and its first bytes. Consecutive equal ones are shown once. No control characters.
std::vector<std::string> refusal_lines(const std::vector<std::pair<RefusalReason, std::uint64_t>>& counts,
                                       const std::vector<Refusal>& newest, const DisplaySettings& display);

}  // namespace gyle
