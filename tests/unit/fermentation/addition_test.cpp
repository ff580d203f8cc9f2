#include "fermentation/addition.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "fermentation/batch.h"
#include "units/gravity.h"

using namespace gyle;

namespace {

Addition of(AdditionKind kind, double amount, double share = 0) { return {kind, Time{}, amount, share}; }

}  // namespace

TEST_CASE("sugar raises gravity as Plato's table has it") {
  // A litre of water at 20 degC weighs 0.9982 kg. So much sugar in it makes a solution of P % by weight.
  for (const double percent : {5.0, 10.0, 15.0}) {
    CAPTURE(percent);
    const double sugar_kg = 0.9982 * percent / (100 - percent);
    const AdditionEffect effect = effect_of(of(AdditionKind::sugar, sugar_kg), 1);
    const double table = (to_specific_gravity(Plato{percent}).value() - 1) * 1000;
    CHECK(effect.points == Approx(table).epsilon(0.01));
  }
}

TEST_CASE("water dilutes, hops do nothing") {
  const AdditionEffect water = effect_of(of(AdditionKind::water, 3), 12);
  CHECK(water.keep == Approx(0.8));
  CHECK(water.points == 0);
  CHECK(water.volume_l == Approx(15));
  const AdditionEffect hops = effect_of(of(AdditionKind::dry_hops, 0.06), 12);
  CHECK(hops.keep == 1);
  CHECK(hops.points == 0);
}

TEST_CASE("fruit is sugar and water") {
  const AdditionEffect fruit = effect_of(of(AdditionKind::fruit, 2, 0.1), 12);
  const AdditionEffect sugar = effect_of(of(AdditionKind::sugar, 0.2), 12 + 1.8);
  CHECK(fruit.volume_l == Approx(sugar.volume_l));
  CHECK(fruit.points == Approx(sugar.points));
  CHECK(fruit.keep == Approx(12 / fruit.volume_l));
}

TEST_CASE("a description moves with an addition") {
  BatchSpec batch;
  batch.original_gravity = SpecificGravity::unchecked(1.050);
  batch.volume_l = 12;
  batch.yeast.attenuation_low = 0.72;
  batch.yeast.attenuation_high = 0.80;
  const BatchSpec diluted = described_after(batch, of(AdditionKind::water, 3), 0);
  CHECK(diluted.original_gravity->value() == Approx(1.040));
  CHECK(diluted.yeast.attenuation_low == batch.yeast.attenuation_low);

  const BatchSpec sweet = described_after(batch, of(AdditionKind::sugar, 0.25), 0);
  const AdditionEffect effect = effect_of(of(AdditionKind::sugar, 0.25), 12);
  const double original = (sweet.original_gravity->value() - 1) * 1000;
  CHECK(original == Approx(50 * effect.keep + effect.points));
  // It ends lower than it would have: the sugar ferments to below water.
  const double expected = original * (1 - sweet.yeast.expected_attenuation());
  CHECK(expected == Approx(50 * effect.keep * (1 - 0.76) + effect.points - effect.sugar_fall));
  CHECK(expected < 50 * (1 - 0.76));

  batch.volume_l.reset();
  CHECK(described_after(batch, of(AdditionKind::water, 3), 0).original_gravity == batch.original_gravity);
}

TEST_CASE("kinds of additions have names") {
  for (const AdditionKind kind :
       {AdditionKind::sugar, AdditionKind::fruit, AdditionKind::water, AdditionKind::dry_hops}) {
    CHECK(addition_kind_named(name(kind)) == kind);
  }
  CHECK(!addition_kind_named("honey"));
}
