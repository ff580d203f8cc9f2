#include "rehearsal/scenario.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace gyle {
namespace {

// An ordinary ale, held at 17 degC and warmed to 20 degC at three quarters of the expected fall.
Scenario ordinary_ale(std::string name, std::string about) {
  Scenario s{};
  s.name = name;
  s.about = std::move(about);
  s.spec.name = "Rehearsal: " + name;
  s.spec.volume_l = 12.0;
  s.spec.yeast = Yeast{"own culture", 0.73, 0.79, Celsius{15.0}, Celsius{22.0}};
  s.spec.plan = {Hold{Celsius{17.0}, UntilProgress{0.75}}, Hold{Celsius{20.0}, UntilFinalGravity{}}};
  s.shape = SigmoidShape{54.0, 0.065, 0.8, 0.04, 2.5, 20.0, 2.2};
  s.lag_h = 6.0;
  s.hydrometer.radio.sensor = "hydrometer";
  s.probe.radio.sensor = "probe";
  return s;
}

std::vector<Scenario> all() {
  std::vector<Scenario> list;
  {
    Scenario s =
        ordinary_ale("three-week", "an ale over three weeks with foam, a gap, spikes and a warm afternoon");
    s.shape.midpoint_h = 78.0;
    s.shape.steepness_per_h = 0.043;
    s.lag_h = 12.0;
    s.lasts = days(21);
    s.vessel.can_cool = false;
    s.vessel.warm_afternoon_celsius = 17.0;
    s.vessel.warm_afternoon_h = 9.0 * 24.0 + 17.0;
    s.vessel.warm_afternoon_lasts_h = 14.0;
    s.hydrometer.foam = {Foam{52.0, 74.0, 0.0005, true}};
    s.hydrometer.battery_v_per_day = 0.033;
    s.hydrometer.radio.duplicate_chance = 0.01;
    s.hydrometer.radio.late_chance = 0.01;
    s.hydrometer.radio.outages = {Outage{166.0, 175.0, false}};
    s.probe.radio.outages = {Outage{166.0, 175.0, true}};
    list.push_back(std::move(s));
  }
  list.push_back(ordinary_ale("quiet", "an ale in which nothing goes wrong"));
  {
    Scenario s = ordinary_ale("fast", "a warm fermentation, done in three days");
    s.spec.yeast = Yeast{"own culture, warm", 0.76, 0.84, Celsius{22.0}, Celsius{32.0}};
    s.spec.plan = {Hold{Celsius{28.0}, UntilFinalGravity{}}};
    s.nominal_final = SpecificGravity::unchecked(1.010);
    s.shape = SigmoidShape{36.0, 0.11, 0.8, 0.04, 3.0, 20.0, 2.0};
    s.lag_h = 4.0;
    s.lasts = days(8);
    s.vessel.wort_celsius = 27.0;
    s.vessel.room_celsius = 22.0;
    s.vessel.warm_afternoon_celsius = 0.0;
    list.push_back(std::move(s));
  }
  {
    Scenario s = ordinary_ale("lager", "a lager over five weeks, with a cold hold at the end");
    s.spec.volume_l = 30.0;
    s.spec.yeast = Yeast{"own culture, cold", 0.74, 0.80, Celsius{8.0}, Celsius{15.0}};
    s.spec.plan = {Hold{Celsius{10.0}, UntilProgress{0.70}}, Hold{Celsius{14.0}, UntilFinalGravity{}},
                   Hold{Celsius{3.0}, UntilDays{12.0}}};
    s.shape = SigmoidShape{84.0, 0.045, 0.8, 0.04, 2.5, 20.0, 2.0};
    s.lag_h = 12.0;
    s.lasts = days(36);
    s.vessel.wort_celsius = 13.0;
    s.vessel.room_celsius = 11.0;
    s.hydrometer.per_celsius = -0.0001;
    list.push_back(std::move(s));
  }
  {
    Scenario s = ordinary_ale("stuck", "an ale that gets cold and stops half way");
    s.halt.too_cold_below = 14.5;
    s.halt.wakes_above = 19.0;
    s.vessel.room_celsius = 12.0;
    s.conduct.other = {Setting{66.0, 13.0}};
    s.conduct.carries_out = false;
    list.push_back(std::move(s));
  }
  {
    Scenario s = ordinary_ale("foam", "foam holds the hydrometer for two days, then lets go");
    s.hydrometer.foam = {Foam{40.0, 88.0, 0.001, true}};
    s.shape.midpoint_h = 65.0;
    list.push_back(std::move(s));
  }
  {
    Scenario s = ordinary_ale("creeping", "a beer whose gravity falls below what its yeast can reach");
    s.creep = 0.22;
    s.creep_per_day = 0.012;
    s.lasts = days(35);
    list.push_back(std::move(s));
  }
  {
    Scenario s = ordinary_ale("asleep", "yeast that never starts");
    s.lag_h = 1e6;
    s.lasts = days(6);
    list.push_back(std::move(s));
  }
  {
    Scenario s = ordinary_ale("silent", "the hydrometer's battery dies on the fifth day");
    s.hydrometer.battery_v_per_day = 0.17;
    s.lasts = days(10);
    list.push_back(std::move(s));
  }
  return list;
}

}  // namespace

std::vector<std::string> scenario_names() {
  std::vector<std::string> names;
  for (Scenario& scenario : all()) names.push_back(std::move(scenario.name));
  return names;
}

Result<Scenario> scenario_named(std::string_view name) {
  std::vector<Scenario> list = all();
  const auto found =
      std::find_if(list.begin(), list.end(), [&](const Scenario& s) { return s.name == name; });
  if (found == list.end()) {
    return fail(Errc::not_found, fmt::format("there is no scenario '{}'; the scenarios are {}", name,
                                             fmt::join(scenario_names(), ", ")));
  }
  return std::move(*found);
}

}  // namespace gyle
