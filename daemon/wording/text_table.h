#pragma once

#include <string>
#include <vector>

namespace gyle {

// Rows of cells as lines in which the columns stand below each other; the first row is the heading. A column
// in which every cell but the heading is empty or begins with a digit is set to the right. Rows are of equal
// length; lines do not end in spaces.
std::vector<std::string> text_table(const std::vector<std::vector<std::string>>& rows);

}  // namespace gyle
