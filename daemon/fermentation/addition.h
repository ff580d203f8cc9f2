#pragma once

#include <optional>
#include <string_view>

#include "base/time.h"

namespace gyle {

enum class AdditionKind { sugar, fruit, water, dry_hops };
// The word used in BATCH.toml and JSON: "sugar", "fruit", "water", "dry-hops".
const char* name(AdditionKind kind);
std::optional<AdditionKind> addition_kind_named(std::string_view text);

// Something that the brewer put into the fermenting beer.
struct Addition {
  AdditionKind kind = AdditionKind::sugar;
  Time time;
  double amount = 0;       // kg; of water, litres; > 0
  double sugar_share = 0;  // of the mass of fruit, (0, 1]; else 0

  bool operator==(const Addition&) const = default;
};

// What an addition does to the gravity of a beer, once it is dissolved and mixed: `keep * points + points`.
// Mass is conserved, and volumes add up.
//   source  a kilogram of sucrose in solution takes 0.615 L and so weighs 0.385 kg more than the water in its
//           place: 385 points in a litre (Plato's table, units/gravity.h). Fruit counts as sugar and water
//   tests   unit/fermentation/addition_test.cpp
struct AdditionEffect {
  double keep;      // what is left of the points of before, (0, 1]
  double points;    // of sugar, in the volume of after
  double volume_l;  // of the beer after it
  double
      sugar_fall;  // points by which that sugar falls when it has fermented: to below water, for the alcohol
};
// `volume_l` > 0: of the beer. Hops have no effect.
AdditionEffect effect_of(const Addition& addition, double volume_l);

}  // namespace gyle
