#include "brewday/yeast_pitch.h"

#include <fmt/format.h>

namespace gyle {

Result<YeastNeed> yeast_need(double volume_l, SpecificGravity original, double rate,
                             double viable_cells_per_gram) {
  if (!(volume_l > 0 && volume_l <= 10000)) {
    return fail(Errc::out_of_range,
                fmt::format("{:.6g} L cannot be pitched; above 0 and up to 10000 L is expected", volume_l));
  }
  if (!(original.value() >= 1.005 && original.value() <= 1.130)) {
    return fail(
        Errc::out_of_range,
        fmt::format("an original gravity of {:.4f} is not between 1.005 and 1.130", original.value()));
  }
  if (!(rate > 0 && rate <= 5)) {
    return fail(
        Errc::out_of_range,
        fmt::format("{:.6g} million cells per mL and °P cannot be right; 0.75 is usual for ale, 1.5 for "
                    "what ferments cool",
                    rate));
  }
  if (!(viable_cells_per_gram >= 0 && viable_cells_per_gram <= 100)) {
    return fail(Errc::out_of_range,
                fmt::format("{:.6g} thousand million cells in a gram cannot be; about 10 is usual",
                            viable_cells_per_gram));
  }
  // Million cells per mL are thousand million per litre.
  const double cells = rate * volume_l * to_plato(original).value;
  if (viable_cells_per_gram > 0) {
    const double grams = cells / viable_cells_per_gram;
    return YeastNeed{cells, grams, grams, grams};
  }
  return YeastNeed{cells, cells / kDryYeast, cells / kDryYeastHigh, cells / kDryYeastLow};
}

}  // namespace gyle
