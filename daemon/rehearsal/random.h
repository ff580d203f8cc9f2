#pragma once

#include <cstdint>
#include <random>

namespace gyle {

// Numbers that depend on the seed alone. The distributions of the standard library differ between its
// implementations, so the few that are needed are made here from the bits of std::mt19937_64, which do not.
class Random {
 public:
  explicit Random(std::uint64_t seed);

  double uniform();                         // (0, 1)
  double between(double low, double high);  // (low, high)
  bool chance(double probability);          // true with this probability
  int below(int n);                         // 0 .. n-1, n > 0
  double normal();                          // mean 0, standard deviation 1
  double exponential();                     // mean 1

  // An independent source for one part of a model, so that a new option of one part leaves the others alone.
  Random branch();

 private:
  std::mt19937_64 bits_;
};

}  // namespace gyle
