#pragma once

namespace gyle {

// Whether an estimate lies within (-margin, margin): the p-value of two one-sided t tests, small when it does.
// An estimate without error gives 0 or 1.
//   in      standard_error >= 0, degrees_freedom > 0, margin > 0
//   source  Schuirmann 1987
double equivalence_p(double estimate, double standard_error, double degrees_freedom, double margin);

}  // namespace gyle
