#include "packaging/energy.h"

#include "units/density.h"

namespace gyle {

Energy energy_in(double litres, const AlcoholRoutes& beer, SpecificGravity present) {
  const double grams = litres * present.value() * water_density(Celsius{20});  // kg/m3 is g/L
  const double alcohol = grams * beer.weight_balling;
  const double extract = grams * beer.real_extract.value / 100;
  return {29 * alcohol + 17 * extract, 7 * alcohol + 4 * extract};
}

}  // namespace gyle
