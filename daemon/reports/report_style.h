#pragma once

#include <string_view>

namespace gyle {

// The style sheet of a report: for a screen light or dark, and for paper. Text has a contrast of 7 to 1 at
// least.
std::string_view report_style();

}  // namespace gyle
