#pragma once

#include <string_view>

#include "base/result.h"
#include "fermentation/batch.h"

namespace gyle {

// A hold of the plan in one line:
//   "17 C until 75 % of the fall"   of the expected fall
//   "17 C until 58 % attenuation"   apparent
//   "18 C until 1.014"              a gravity, with the units of parse_gravity
//   "11 C for 9 d"                  a length of time, with the units of parse_duration
//   "20 C until final gravity"
// Errc::malformed or out_of_range with what is expected.
Result<Hold> parse_hold(std::string_view text);

// "LOW:HIGH" cut in two; Errc::malformed when there is not exactly one colon.
struct TwoTexts {
  std::string_view low;
  std::string_view high;
};
Result<TwoTexts> parse_range(std::string_view text, std::string_view example);

// A plain decimal number without anything after it.
Result<double> parse_number(std::string_view text);

}  // namespace gyle
