#pragma once

#include <memory>
#include <string_view>
#include <vector>

#include "rehearsal/kinetics.h"
#include "rehearsal/random.h"

namespace gyle::simulation {

// Unrelated ways in which sugar can disappear. None is the truth; a judgement that is good on all of them is
// not tuned to one.
enum class Family {
  logistic,      // four parameters: ASBC Yeast-14; Speers, Rogers and Smith 2003
  asymmetric,    // five parameters: the same with the Richards exponent
  tailed,        // a logistic with a slow share at the end
  gompertz,      // modified Gompertz: Zwietering and co-workers 1990
  sugars,        // glucose, maltose and maltotriose one after the other: Gee and Ramirez 1988, 1994
  settling,      // cells that wake, work and settle out: de Andres-Toro and co-workers 1998
  exponential,   // no lag, fast from the start, two rates
  limited,       // Monod uptake by yeast that grows to a limit and is slowed by alcohol
  stretched,     // Weibull
  contois,       // uptake by sugar per yeast: Contois 1959; slowed by alcohol as in Aiba and co-workers 1968
  log_logistic,  // t^n / (1 + t^n): Hill 1910; Morgan, Mercer and Flodin 1975
  two_phases,    // two logistics, the second waiting for the first: diauxic growth, Monod 1942
  queued,        // a chain of equal first-order steps: the gamma distribution (Erlang 1909), from memory
  saturated,     // constant yeast that wakes up slowly, uptake by Michaelis and Menten 1913, from memory
  inhibited,     // growth that alcohol stops as in Luong 1985, uptake goes with yeast and sugar, from memory
};
std::string_view name(Family family);

// How much of the fall a family that has a slow end leaves to it.
enum class Tail { ordinary, long_drawn };

// One member of the family, its shape drawn by chance, scaled so that half of the fall takes `half_h` at a
// constant `celsius`. Dependence on temperature is the family's own where the literature gives one, else Q10.
std::unique_ptr<Kinetics> kinetics_of(Family family, double half_h, double celsius, Tail tail, Random random);

// de Andres-Toro's model at its own temperatures, unscaled: it stalls above 14 degC because its cells settle.
std::unique_ptr<Kinetics> settling_cells();

// Gee and Ramirez's model, unscaled. Concentrations in mol/m3.
struct Sugars {
  double glucose = 70.0;
  double maltose = 220.0;
  double maltotriose = 40.0;
  double yeast = 175.0;
};
std::unique_ptr<Kinetics> sequential_sugars(const Sugars& start);

// y = A exp(-exp(mu e / A (lambda - t) + 1)) with A = 1, counted from its value at 0.
std::unique_ptr<Kinetics> modified_gompertz(double mu_per_h, double lambda_h, double q10);

}  // namespace gyle::simulation
