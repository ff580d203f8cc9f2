#include "rehearsal/random.h"

#include <cmath>
#include <numbers>

namespace gyle {

Random::Random(std::uint64_t seed) : bits_(seed) {}

double Random::uniform() { return (static_cast<double>(bits_() >> 11) + 0.5) * 0x1p-53; }

double Random::between(double low, double high) { return low + (high - low) * uniform(); }

bool Random::chance(double probability) { return uniform() < probability; }

int Random::below(int n) { return static_cast<int>(uniform() * n); }

// Box and Muller 1958; the second number of each pair is dropped, so that a copy has no hidden state.
double Random::normal() {
  const double radius = std::sqrt(-2.0 * std::log(uniform()));
  return radius * std::cos(2.0 * std::numbers::pi * uniform());
}

double Random::exponential() { return -std::log(uniform()); }

Random Random::branch() { return Random(bits_()); }

}  // namespace gyle
