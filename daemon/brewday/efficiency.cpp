#include "brewday/efficiency.h"

#include <fmt/format.h>

namespace gyle {
namespace {

Result<double> share(double extract_kg, double of_kg) {
  if (!(of_kg > 0))
    return fail(Errc::out_of_range, "there is no grain in the recipe whose extract it could be");
  const double share = extract_kg / of_kg;
  // A thousandth is rounding; more extract than there was is not.
  if (!(share > 0 && share <= 1.001)) {
    return fail(
        Errc::out_of_range,
        fmt::format("{:.2f} kg of extract cannot come from {:.2f} kg: is the volume that of 20 °C, the "
                    "gravity corrected for temperature, and the recipe what was brewed?",
                    extract_kg, of_kg));
  }
  return share;
}

}  // namespace

Result<double> mash_efficiency(const Wort& pre_boil, const Potential& potential) {
  return share(pre_boil.extract_kg, potential.mash_kg);
}

Result<double> mash_efficiency_from_fermenter(const Wort& in_fermenter, double trub_l,
                                              const Potential& potential) {
  if (!(trub_l >= 0 && trub_l <= 1000)) {
    return fail(Errc::out_of_range, fmt::format("trub of {:.6g} L cannot be; 0 or more is expected", trub_l));
  }
  const double in_kettle = in_fermenter.extract_kg * (1 + trub_l / in_fermenter.volume_l());
  return share(in_kettle - potential.sugar_kg, potential.mash_kg);
}

Result<double> brewhouse_efficiency(const Wort& in_fermenter, const Potential& potential) {
  return share(in_fermenter.extract_kg, potential.mash_kg + potential.sugar_kg);
}

}  // namespace gyle
