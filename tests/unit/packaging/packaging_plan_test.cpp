#include "packaging/packaging_plan.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <functional>
#include <limits>

#include "support/reference.h"
#include "units/carbonation.h"
#include "units/residual_co2.h"

using namespace gyle;

namespace {

PackagingQuestion amber() {
  PackagingQuestion question{.original_gravity = SpecificGravity::unchecked(1.048),
                             .final_gravity = SpecificGravity::unchecked(1.012),
                             .warmest = Celsius{20},
                             .volume_l = 19};
  question.finished = Finished::measured;
  return question;
}

bool warns(const PackagingPlan& plan, PackagingCaution caution) {
  return std::count(plan.cautions.begin(), plan.cautions.end(), caution) == 1;
}

}  // namespace

// priming_examples.csv, first row.
TEST_CASE("bottles get the missing sugar, in total and per bottle") {
  const PackagingPlan plan = plan_packaging(amber()).value();
  CHECK(plan.residual_volumes == Approx(0.8615).margin(0.0001));
  REQUIRE(plan.priming);
  CHECK(*plan.priming->grams == Approx(112.4).margin(0.06));
  CHECK(plan.priming->grams_per_bottle == Approx(112.4 / 38).margin(0.002));
  CHECK(*plan.priming->bottles == Approx(38));
  CHECK_FALSE(plan.keg);
  CHECK_FALSE(plan.risk);
}

TEST_CASE("a keg gets the pressure of the chart at the temperature of serving") {
  PackagingQuestion question = amber();
  question.container = Container::keg;
  question.serving = Celsius{4};
  const PackagingPlan plan = plan_packaging(question).value();
  REQUIRE(plan.keg);
  CHECK(plan.keg->gauge_bar == Approx(0.74).margin(0.006));  // bottle_pressure.csv: 2.4 volumes at 4 degC
  CHECK(plan.keg->gauge_bar_henry == Approx(0.72).margin(0.006));
  CHECK_FALSE(plan.priming);
  question.volumes = 1.0;  // which beer holds at 4 degC under the air's pressure alone
  CHECK(plan_packaging(question).value().keg->gauge_bar == 0);
}

TEST_CASE("warm bottles reach the pressures of the table, the higher of the two fits") {
  const auto rows = test::reference_csv("bottle_pressure.csv");
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    PackagingQuestion question = amber();
    question.volumes = number(0);
    question.storage = Celsius{number(1)};
    const PackagingPlan plan = plan_packaging(question).value();
    CAPTURE(rows[i][0], rows[i][1]);
    const auto at = std::find_if(plan.warm.begin(), plan.warm.end(),
                                 [&](const WarmPressure& warm) { return warm.beer == question.storage; });
    REQUIRE(at != plan.warm.end());
    CHECK(at->gauge_bar == Approx(std::max(number(2), number(3))).margin(0.006));
    CHECK(std::is_sorted(plan.warm.begin(), plan.warm.end(),
                         [](const WarmPressure& a, const WarmPressure& b) { return a.beer < b.beer; }));
  }
}

TEST_CASE("beer that already holds the wanted gas gets no sugar") {
  PackagingQuestion question = amber();
  question.warmest = Celsius{2};  // 1.59 volumes
  question.volumes = 1.2;
  const PackagingPlan plan = plan_packaging(question).value();
  CHECK(plan.priming->grams_per_litre == 0);
  // What it holds presses, not what was wanted.
  CHECK(plan.warm[0].gauge_bar == Approx(most_gauge_bar(Celsius{25}, plan.residual_volumes).value()));
}

TEST_CASE("a temperature outside the published range counts as the nearer end") {
  PackagingQuestion question = amber();
  question.warmest = Celsius{36};
  CHECK(plan_packaging(question).value().residual_volumes == residual_co2_volumes(Celsius{30}).value());
  question.warmest = Celsius{-1};
  CHECK(plan_packaging(question).value().residual_volumes == residual_co2_volumes(Celsius{0}).value());
}

// Half a volume a point: 2.6 g/L of apparent extract; 0.8 of its fall is real (the 0.8192 of Balling's
// split, from memory); 0.9565 / 2.0665 = 0.463 g of gas from a gram (Balling).
TEST_CASE("what is left in unfinished beer is counted as gas and as pressure") {
  PackagingQuestion question = amber();
  question.finished = Finished::not_seen;
  question.to_go = PointsToGo{{2}, {4}};
  question.storage = Celsius{25};
  const PackagingPlan plan = plan_packaging(question).value();
  REQUIRE(plan.risk);
  CHECK(plan.risk->extra_volumes == Approx(1));
  CHECK(plan.risk->extra_volumes_most == Approx(2));
  CHECK(kVolumesPerPoint == Approx(2.6 * 0.8 * 0.4629 / kCo2GramsPerVolume).epsilon(0.03));
  CHECK(plan.risk->gauge_bar == Approx(most_gauge_bar(Celsius{25}, 3.4).value()));
  CHECK(plan.risk->gauge_bar_most == Approx(most_gauge_bar(Celsius{25}, 4.4).value()));
  CHECK(plan.cautions.front() == PackagingCaution::unfinished);
  question.to_go = PointsToGo{{20}, {40}};  // no bottle lives to see it, and no fit reaches so far
  CHECK(plan_packaging(question).value().risk->gauge_bar_most > 15);
}

TEST_CASE("cautions appear where they apply") {
  using Caution = PackagingCaution;
  PackagingQuestion question = amber();
  question.storage = Celsius{18};
  const PackagingPlan plain = plan_packaging(question).value();
  CHECK(plain.cautions == std::vector{Caution::glass_bursts, Caution::gas_in_rooms});
  question.finished = Finished::on_word;
  CHECK(warns(plan_packaging(question).value(), Caution::on_word));
  const auto with_volumes = [&](double volumes) {
    question.volumes = volumes;
    return plan_packaging(question).value();
  };
  CHECK_FALSE(warns(with_volumes(3.0), Caution::much_gas));
  CHECK(warns(with_volumes(3.1), Caution::much_gas));
  CHECK(warns(with_volumes(3.5), Caution::much_gas));
  CHECK(warns(with_volumes(3.6), Caution::too_much_gas));
  CHECK_FALSE(warns(with_volumes(3.6), Caution::much_gas));
  question.storage = Celsius{25};
  CHECK(warns(plan_packaging(question).value(), Caution::warm_storage));
  question.container = Container::keg;
  const PackagingPlan keg = plan_packaging(question).value();
  CHECK(keg.cautions == std::vector{Caution::on_word, Caution::relief_valve, Caution::gas_in_rooms});
  for (const Container container : {Container::bottles, Container::keg}) {
    CHECK(container_named(name(container)) == container);
  }
  CHECK_FALSE(container_named("glass"));
}

TEST_CASE("impossible values are refused") {
  struct Row {
    const char* name;
    std::function<void(PackagingQuestion&)> change;
    const char* said;
    Errc code = Errc::out_of_range;
  };
  const auto sg = [](double v) { return SpecificGravity::unchecked(v); };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const Row rows[] = {
      {"final above original", [&](auto& q) { q.final_gravity = sg(1.050); }, "wrong way round"},
      {"12 % attenuation", [&](auto& q) { q.final_gravity = sg(1.0422); }, "too little for a finished beer"},
      {"unfermented", [&](auto& q) { q.final_gravity = sg(1.048); }, "too little for a finished beer"},
      {"no wort", [&](auto& q) { q.original_gravity = sg(1.150); }, "1.130"},
      {"no volumes", [](auto& q) { q.volumes = -2.4; }, "from 1 to 5 volumes"},
      {"far too many volumes", [](auto& q) { q.volumes = 24; }, "from 1 to 5 volumes"},
      {"no number", [nan](auto& q) { q.volumes = nan; }, "from 1 to 5 volumes"},
      {"negative volume", [](auto& q) { q.volume_l = -19; }, "from 0.1 to 10000 L"},
      {"a bath for a bottle", [](auto& q) { q.bottle_l = 100; }, "from 0.05 to 10 L"},
      {"boiling beer", [](auto& q) { q.warmest = Celsius{300}; }, "from -5 to 45 °C"},
      {"an oven for a cellar", [](auto& q) { q.storage = Celsius{300}; }, "from 0 to 45 °C"},
      {"soup", [](auto& q) { q.serving = Celsius{60}; }, "from -2 to 30 °C"},
      {"no temperature", [](auto& q) { q.warmest.reset(); }, "warmest", Errc::missing},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    PackagingQuestion question = amber();
    row.change(question);
    const auto plan = plan_packaging(question);
    REQUIRE_FALSE(plan);
    CHECK(plan.error().code == row.code);
    CAPTURE(plan.error().message);
    CHECK(plan.error().message.find(row.said) != std::string::npos);
  }
}
