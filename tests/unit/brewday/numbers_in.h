#pragma once

#include <cctype>
#include <cstdlib>
#include <string>
#include <vector>

namespace gyle::test {

// The numbers of a text in their order: "3.2 gal at 66F, 4 %" gives 3.2, 66, 4.
inline std::vector<double> numbers_in(const std::string& text) {
  std::vector<double> numbers;
  for (const char* at = text.c_str(); *at != '\0';) {
    if (std::isdigit(static_cast<unsigned char>(*at))) {
      char* end = nullptr;
      numbers.push_back(std::strtod(at, &end));
      at = end;
    } else {
      ++at;
    }
  }
  return numbers;
}

}  // namespace gyle::test
