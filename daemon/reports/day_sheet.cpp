#include "reports/day_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "brewday/heating.h"
#include "units/density.h"
#include "wording/format.h"

namespace gyle {
namespace {

class Day {
 public:
  Day(const Recipe& recipe, const BrewPlan& plan, const DisplaySettings& display)
      : recipe_(recipe), plan_(plan), display_(display) {
    sheet_.heater_assumed = !recipe.kettle.heater_watts;
    watts_ = recipe.kettle.heater_watts.value_or(kAssumedWatts);
    heat_strike_water();
    mash();
    heat_to_boil();
    boil();
    cool();
  }

  DaySheet written() && { return std::move(sheet_); }

 private:
  void add(Duration lasts, std::string what, std::string how, std::string caution = "") {
    // To the minute: nobody stirs by the second.
    const Duration rounded = std::chrono::round<minutes>(lasts);
    sheet_.steps.push_back({now_, rounded, std::move(what), std::move(how), std::move(caution)});
    now_ += rounded;
  }

  std::string temperature(Celsius t) const { return show_temperature(t.value, display_); }
  std::string volume(double litres) const { return show_volume(litres, display_); }
  std::string gravity(const Wort& wort) const { return show_gravity(wort.gravity().value(), display_); }
  double kettle_heat() const { return recipe_.kettle.mass_kg * recipe_.kettle.specific_heat; }

  void heat_strike_water() {
    const Celsius to = std::max(plan_.strike, recipe_.mash.water);
    add(heating_time(plan_.strike_water_kg, kettle_heat(), to - recipe_.mash.water, watts_), "Heat the water",
        fmt::format("{} measured cold, which stands at {} when hot, to {}.", volume(plan_.water.total_cold_l),
                    volume(plan_.water.total_cold_l / cooling_shrinkage(plan_.strike)),
                    temperature(plan_.strike)),
        "Scalds in a second. Flame: outdoors only. Electric: residual-current device, never dry.");
  }

  void mash() {
    const Duration dough_in = std::min<Duration>(minutes(5), recipe_.mash.time / 4);
    add(dough_in, "Dough in",
        fmt::format(
            "Heat off, bag in; stir in {} of grain without lumps. It should rest at {}; a degree off is no "
            "harm. Cover it.",
            show_mass(plan_.grain_kg, display_), temperature(recipe_.mash.temperature)),
        "It splashes hot: pour slowly, children away.");
    const Duration quarter = recipe_.mash.time / 4;
    add(quarter, "Mash begins",
        fmt::format("{:.0f} min at {}.", in_hours(recipe_.mash.time) * 60,
                    temperature(recipe_.mash.temperature)));
    sheet_.steps.back().lasts -= dough_in;
    now_ -= dough_in;
    add(quarter, "Stir",
        fmt::format("Note the temperature; warm gently, stirring, if it fell more than {}.",
                    show_temperature_change(2, display_)));
    add(quarter, "Stir, check the gravity",
        fmt::format("Half way: stir, then cool a sample to {} and note its gravity, and whether it still "
                    "rises at the end.",
                    temperature(Celsius{20})));
    add(quarter, "Stir", "Note the temperature.");
  }

  void heat_to_boil() {
    const double wet_kg = plan_.grain_kg * (1 + recipe_.absorption_l_per_kg);
    const double wort_kg = plan_.wort.pre_boil.mass_kg;
    add(std::min<Duration>(minutes(10), to_boil(wort_kg)), "Bag out",
        fmt::format("Drain it over the kettle for 10 min, heating up. Expected: {} at {}, hot ({} at {}).",
                    volume(plan_.water.pre_boil_hot_l), gravity(plan_.wort.pre_boil),
                    volume(plan_.wort.pre_boil.volume_l()), temperature(Celsius{20})),
        fmt::format("Drained it weighs {}, dripping much more, and is hot: use a hook.",
                    show_mass(wet_kg, display_)));
    const Duration left = std::max(Duration(0), to_boil(wort_kg) - minutes(10));
    add(left, "Heat to the boil",
        "Measure volume and gravity; if they are off, gylekeeper preboil shows what can be done.",
        "Foams over at the first boil: lid off, stay, stir.");
  }

  Duration to_boil(double wort_kg) const {
    return heating_time(wort_kg, kettle_heat(), Celsius{100} - recipe_.mash.temperature, watts_);
  }

  // The moments of the boil and what goes in at each, the earliest first.
  std::map<Duration, std::vector<std::string>, std::greater<>> additions() const {
    std::map<Duration, std::vector<std::string>, std::greater<>> by_moment;
    const auto with_amount = [&](const BoilAddition& one) {
      const std::string amount = one.mass_kg ? show_mass(*one.mass_kg, display_) : one.amount;
      return amount.empty() ? one.name : amount + " " + one.name;
    };
    for (const BoilAddition& one : recipe_.hops) by_moment[one.before_end].push_back(with_amount(one));
    for (const BoilSugar& one : recipe_.sugar) {
      by_moment[one.before_end].push_back(show_mass(one.sugar.mass_kg, display_) + " " + one.sugar.name);
    }
    for (const BoilAddition& one : recipe_.finings) by_moment[one.before_end].push_back(with_amount(one));
    return by_moment;
  }

  static std::string joined(const std::vector<std::string>& parts) {
    std::string text;
    for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
    return text;
  }

  void boil() {
    auto moments = additions();
    const Duration whole = recipe_.boil.time;
    std::vector<std::string> first;
    std::vector<std::string> last;
    if (const auto at = moments.find(whole); at != moments.end()) {
      first = at->second;
      moments.erase(at);
    }
    if (const auto at = moments.find(Duration(0)); at != moments.end()) {
      last = at->second;
      moments.erase(at);
    }
    Duration left = whole;
    const auto until_next = [&] { return left - (moments.empty() ? Duration(0) : moments.begin()->first); };
    add(until_next(), "Boil begins",
        fmt::format("{:.0f} min, uncovered.{}", in_hours(whole) * 60,
                    first.empty() ? "" : " Add " + joined(first) + "."),
        first.empty() ? "Never leave a boil alone." : "Foams up as they go in. Never leave a boil alone.");
    while (!moments.empty()) {
      left = moments.begin()->first;
      const std::string what = joined(moments.begin()->second);
      moments.erase(moments.begin());
      add(until_next(), fmt::format("{:.0f} min to go", in_hours(left) * 60), fmt::format("Add {}.", what),
          "Foams up as it goes in: stir, hand at the heat.");
    }
    end_ = last;
  }

  void cool() {
    add(recipe_.boil.chill, "Heat off, chill",
        fmt::format(
            "{}Chill to {}; from here on all that touches the wort is sanitised. {} hot should be left.",
            end_.empty() ? "" : "Add " + joined(end_) + ". ", temperature(plan_.pitch),
            volume(plan_.water.post_boil_hot_l)),
        "Never lift a kettle of hot wort; drain or pump it.");
    add(Duration(0), "Pitch",
        fmt::format("{} into the fermenter, {} expected; measure it. Pitch {} at {}, today.",
                    volume(recipe_.batch_l), gravity(plan_.wort.post_boil), yeast(),
                    temperature(plan_.pitch)));
  }

  std::string yeast() const {
    const YeastNeed& need = plan_.yeast;
    const std::string grams = need.dry_grams_low < need.dry_grams_high
                                  ? fmt::format("{:.0f} g of dry yeast ({:.0f} to {:.0f} g)", need.dry_grams,
                                                need.dry_grams_low, need.dry_grams_high)
                                  : fmt::format("{:.0f} g of dry yeast", need.dry_grams);
    return recipe_.yeast.name.empty() ? grams : fmt::format("{}: {}", recipe_.yeast.name, grams);
  }

  const Recipe& recipe_;
  const BrewPlan& plan_;
  const DisplaySettings& display_;
  double watts_ = 0;
  Duration now_{0};
  std::vector<std::string> end_;  // what goes in when the heat goes off
  DaySheet sheet_;
};

}  // namespace

DaySheet day_sheet(const Recipe& recipe, const BrewPlan& plan, const DisplaySettings& display) {
  return Day(recipe, plan, display).written();
}

}  // namespace gyle
