#pragma once

#include "base/result.h"
#include "brewday/gravity_expected.h"
#include "brewday/wort.h"

namespace gyle {

// How much of the grain's extract came into the kettle, from the wort before the boil and before any sugar.
//   errors  Errc::out_of_range: more extract than the grain has (the message says what to check), or no
//           grain
Result<double> mash_efficiency(const Wort& pre_boil, const Potential& potential);

// The same from the wort in the fermenter: the trub left behind, `trub_l` at 20 degC, counts as wort of the
// same gravity.
Result<double> mash_efficiency_from_fermenter(const Wort& in_fermenter, double trub_l,
                                              const Potential& potential);

// How much of all the extract, the sugar's too, came into the fermenter. Errors as above.
Result<double> brewhouse_efficiency(const Wort& in_fermenter, const Potential& potential);

}  // namespace gyle
