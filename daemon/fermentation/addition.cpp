#include "fermentation/addition.h"

#include <array>

namespace gyle {
namespace {

constexpr double kSugarPoints = 385;    // points x litres of a kilogram of sugar
constexpr double kSugarLitres = 0.615;  // of a kilogram of sugar in solution
constexpr double kSugarApparent =
    1.22;  // apparent attenuation of sugar that has fermented completely: 1/0.82,
           // by Balling's relation of real and apparent extract
constexpr std::array<const char*, 4> kAdditionKinds{"sugar", "fruit", "water", "dry-hops"};

}  // namespace

const char* name(AdditionKind kind) { return kAdditionKinds[static_cast<std::size_t>(kind)]; }

std::optional<AdditionKind> addition_kind_named(std::string_view text) {
  for (std::size_t i = 0; i < kAdditionKinds.size(); ++i) {
    if (text == kAdditionKinds[i]) return static_cast<AdditionKind>(i);
  }
  return std::nullopt;
}

AdditionEffect effect_of(const Addition& addition, double volume_l) {
  double sugar_kg = 0, water_l = 0;
  switch (addition.kind) {
    case AdditionKind::sugar:
      sugar_kg = addition.amount;
      break;
    case AdditionKind::fruit:
      sugar_kg = addition.amount * addition.sugar_share;
      water_l = addition.amount - sugar_kg;
      break;
    case AdditionKind::water:
      water_l = addition.amount;
      break;
    case AdditionKind::dry_hops:
      break;
  }
  const double after_l = volume_l + kSugarLitres * sugar_kg + water_l;
  const double points = kSugarPoints * sugar_kg / after_l;
  return {volume_l / after_l, points, after_l, kSugarApparent * points};
}

}  // namespace gyle
