#pragma once

#include <cstdint>
#include <random>

namespace gyle {

// Random numbers that depend on the seed alone. std::mt19937_64 is the same everywhere; the distributions of
// the standard library are not, so the few we need are here.
class Random {
 public:
  explicit Random(std::uint64_t seed);

  double uniform();                         // (0, 1)
  double between(double low, double high);  // (low, high)
  bool chance(double probability);          // true with this probability
  int below(int n);                         // 0 .. n-1, n > 0
  double normal();                          // mean 0, standard deviation 1
  double exponential();                     // mean 1

  // An independent generator for one part of a model, so that changing it does not alter the others.
  Random branch();

 private:
  std::mt19937_64 bits_;
};

}  // namespace gyle
