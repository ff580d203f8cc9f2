#pragma once

namespace gyle {

// Exact by definition: NIST Handbook 44, appendix C.
constexpr double kLitresPerUsGallon = 3.785411784;
constexpr double kLitresPerUsFluidOunce = kLitresPerUsGallon / 128;
constexpr double kKgPerPound = 0.45359237;  // avoirdupois, of 16 ounces
// NIST Special Publication 811, appendix B.
constexpr double kPsiPerBar = 14.503774;

}  // namespace gyle
