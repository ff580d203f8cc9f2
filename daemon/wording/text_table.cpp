#include "wording/text_table.h"

#include <algorithm>

#include "wording/fitted_text.h"

namespace gyle {
namespace {

bool is_of_numbers(const std::vector<std::vector<std::string>>& rows, std::size_t column) {
  return std::all_of(rows.begin() + 1, rows.end(), [&](const std::vector<std::string>& row) {
    const std::string& cell = row[column];
    return cell.empty() || (cell.front() >= '0' && cell.front() <= '9');
  });
}

}  // namespace

std::vector<std::string> text_table(const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::string> lines(rows.size());
  if (rows.empty()) return lines;
  for (std::size_t column = 0; column < rows.front().size(); ++column) {
    std::size_t width = 0;
    for (const auto& row : rows) width = std::max(width, columns(row[column]));
    const bool right = is_of_numbers(rows, column);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const std::string& cell = rows[i][column];
      const std::string gap(width - columns(cell), ' ');
      lines[i] += (column == 0 ? "" : "  ") + (right ? gap + cell : cell + gap);
    }
  }
  for (std::string& line : lines) line.erase(line.find_last_not_of(' ') + 1);
  return lines;
}

}  // namespace gyle
