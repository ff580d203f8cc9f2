#include "brewday/strike.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace gyle {
namespace {

struct MoistureRow {
  double moisture;
  double specific_heat;
  double slaking_k;
};
constexpr std::array<MoistureRow, 7> kMalt{{{0.00, 0.38, 3.0},
                                            {0.01, 0.38, 2.8},
                                            {0.02, 0.39, 2.3},
                                            {0.03, 0.40, 2.3},
                                            {0.04, 0.40, 1.5},
                                            {0.06, 0.41, 1.3},
                                            {0.08, 0.42, 1.0}}};

// The mash as two bodies, in units of the heat of a kilogram of water per kelvin: what is hot before and what
// is cold, with what the cold one's temperature adds up to; and the rise by slaking.
struct Balance {
  double hot;
  double cold;
  double cold_degrees;  // heat times temperature
  double slaking;
};

Result<Balance> balance(const MashHeat& heat) {
  const auto mass = [](const char* what, double kg) -> Status {
    if (kg > 0 && kg <= 10000) return success();
    return fail(
        Errc::out_of_range,
        fmt::format("{:.6g} kg of {} make no mash; above 0 and up to 10000 kg is expected", kg, what));
  };
  BOOST_OUTCOME_TRYV(mass("water", heat.water_kg));
  BOOST_OUTCOME_TRYV(mass("grain", heat.grain_kg));
  const auto air_temperature = [](const char* what, Celsius t) -> Status {
    if (t.value >= -20 && t.value <= 60) return success();
    return fail(Errc::out_of_range,
                fmt::format("{} of {:.1f} °C cannot be; -20 to 60 °C is expected", what, t.value));
  };
  BOOST_OUTCOME_TRYV(air_temperature("grain", heat.grain));
  if (!(heat.malt.specific_heat > 0 && heat.malt.specific_heat <= 1)) {
    return fail(Errc::out_of_range, fmt::format("malt's specific heat is a fraction of water's, not {:.6g}",
                                                heat.malt.specific_heat));
  }
  if (!(heat.malt.slaking.value >= 0 && heat.malt.slaking.value <= 10)) {
    return fail(Errc::out_of_range,
                fmt::format("a rise of {:.6g} K by slaking cannot be; 0 to 10 K is expected",
                            heat.malt.slaking.value));
  }
  if (!(heat.kettle_kj_per_k >= 0 && heat.kettle_kj_per_k <= 10000)) {
    return fail(
        Errc::out_of_range,
        fmt::format("a kettle's heat of {:.6g} kJ/K cannot be; 0 or more is expected", heat.kettle_kj_per_k));
  }
  const double malt = heat.malt.specific_heat * heat.grain_kg;
  Balance b{heat.water_kg, malt, malt * heat.grain.value, 0};
  const double kettle = heat.kettle_kj_per_k / kWaterHeat;
  if (heat.kettle) {
    BOOST_OUTCOME_TRYV(air_temperature("a kettle", *heat.kettle));
    b.cold += kettle;
    b.cold_degrees += kettle * heat.kettle->value;
  } else {
    b.hot += kettle;
  }
  b.slaking = heat.malt.slaking.value * heat.grain_kg * (heat.malt.specific_heat + kSlakingThickness) /
              (b.hot + b.cold);
  return b;
}

}  // namespace

Result<MaltHeat> malt_heat(double moisture) {
  if (!(moisture >= 0 && moisture <= kMalt.back().moisture)) {
    return fail(
        Errc::out_of_range,
        fmt::format("a malt's moisture of {:.6g} is not known here; 0 to 0.08 is expected", moisture));
  }
  const auto above = std::lower_bound(kMalt.begin() + 1, kMalt.end() - 1, moisture,
                                      [](const MoistureRow& row, double m) { return row.moisture < m; });
  const MoistureRow& low = *(above - 1);
  const double share = (moisture - low.moisture) / (above->moisture - low.moisture);
  return MaltHeat{low.specific_heat + share * (above->specific_heat - low.specific_heat),
                  CelsiusDelta{low.slaking_k + share * (above->slaking_k - low.slaking_k)}};
}

Result<Celsius> strike_temperature(const MashHeat& heat, Celsius mash) {
  if (!(mash.value >= 30 && mash.value <= 80)) {
    return fail(Errc::out_of_range,
                fmt::format("a mash at {:.1f} °C makes no wort; 30 to 80 °C is expected", mash.value));
  }
  BOOST_OUTCOME_TRY(b, balance(heat));
  const double mixed = mash.value - b.slaking;
  const Celsius strike{(mixed * (b.hot + b.cold) - b.cold_degrees) / b.hot};
  if (!(strike.value <= 100)) {
    return fail(Errc::out_of_range,
                fmt::format("the water would have to be {:.0f} °C, hotter than it boils; take more water, or "
                            "warm the grain and the kettle",
                            strike.value));
  }
  return strike;
}

Result<Celsius> mash_temperature(const MashHeat& heat, Celsius strike) {
  if (!(strike.value >= 0 && strike.value <= 100)) {
    return fail(Errc::out_of_range,
                fmt::format("water at {:.1f} °C is not liquid; 0 to 100 °C is expected", strike.value));
  }
  BOOST_OUTCOME_TRY(b, balance(heat));
  return Celsius{(b.hot * strike.value + b.cold_degrees) / (b.hot + b.cold) + b.slaking};
}

}  // namespace gyle
