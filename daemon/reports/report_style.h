#pragma once

#include <string_view>

namespace gyle {

// The style sheet of a report: for a light or dark screen, and for paper. Text has a contrast of at least
// 7 to 1.
std::string_view report_style();

}  // namespace gyle
