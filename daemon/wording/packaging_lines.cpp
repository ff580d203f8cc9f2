#include "wording/packaging_lines.h"

#include <fmt/format.h>

#include "units/carbonation.h"
#include "units/us_customary.h"
#include "wording/format.h"
#include "wording/outlook_lines.h"

namespace gyle {
namespace {

bool in_litres(const DisplaySettings& display) { return display.volume == DisplaySettings::Volume::litres; }

std::string tenths(double fraction) { return fmt::format("{:.1f}", 100 * fraction); }

// A scale in the kitchen shows grams, also where beer is counted in gallons.
std::string show_sugar(double grams, const DisplaySettings& display) {
  const std::string shown = fmt::format("{:.{}f} g", grams, grams < 20 ? 1 : 0);
  return in_litres(display) ? shown : fmt::format("{} ({})", show_mass(grams / 1000, display), shown);
}

std::string show_dose(double grams_per_litre, const DisplaySettings& display) {
  return in_litres(display)
             ? fmt::format("{:.1f} g/L", grams_per_litre)
             : fmt::format("{:.2f} oz/gal", grams_per_litre * kLitresPerUsGallon / (1000 * kKgPerPound / 16));
}

const char* sugar_words(Sugar sugar) {
  switch (sugar) {
    case Sugar::sucrose:
      return "sucrose (table sugar)";
    case Sugar::glucose_monohydrate:
      return "glucose monohydrate";
    case Sugar::glucose:
      return "glucose, free of water";
    case Sugar::dry_malt_extract:
      return "dry malt extract";
  }
  return "";
}

std::vector<std::string> alcohol_lines(const AlcoholRoutes& alcohol) {
  return {fmt::format("Alcohol: {} % by volume, {} % by weight, by Balling's equations.",
                      tenths(alcohol.volume_balling), tenths(alcohol.weight_balling)),
          fmt::format("  By other routes {} to {} % by volume: his quotient {}, {}131.25 times the fall {}.",
                      tenths(alcohol.least_volume()), tenths(alcohol.most_volume()),
                      tenths(alcohol.volume_quotient),
                      alcohol.volume_uk_table
                          ? fmt::format("the UK's duty table {}, ", tenths(*alcohol.volume_uk_table))
                          : "",
                      tenths(alcohol.volume_rule))};
}

std::string attenuation_line(const AlcoholRoutes& alcohol) {
  return fmt::format(
      "Attenuation: {} apparent ({} by degrees Plato), {} real; {:.1f} % real extract by weight.",
      show_percent(alcohol.apparent_attenuation), show_percent(alcohol.apparent_extract_share),
      show_percent(alcohol.real_attenuation), alcohol.real_extract.value);
}

std::string energy_line(const PackagingPlan& plan, const DisplaySettings& display) {
  const auto in = [&](double litres) {
    return fmt::format("{:.0f} kcal in {}", 10 * litres * plan.energy_100_ml.kcal,
                       show_container(litres, display));
  };
  const std::string glasses = in_litres(display)
                                  ? in(0.33) + ", " + in(0.5)
                                  : in(12 * kLitresPerUsFluidOunce) + ", " + in(16 * kLitresPerUsFluidOunce);
  return fmt::format(
      "Energy: {:.0f} kJ ({:.0f} kcal) in 100 mL, {}; by the factors of Regulation (EU) 1169/2011.",
      plan.energy_100_ml.kj, plan.energy_100_ml.kcal, glasses);
}

std::string gas_line(const PackagingPlan& plan, const DisplaySettings& display) {
  std::string line = fmt::format(
      "Carbon dioxide left in it: {:.2f} volumes ({:.1f} g/L), from its warmest temperature since it stopped "
      "making gas, {}. This is known to within a tenth.",
      plan.residual_volumes, plan.residual_volumes * kCo2GramsPerVolume,
      show_temperature(plan.question.warmest->value, display));
  if (*plan.question.warmest > Celsius{30} || *plan.question.warmest < Celsius{0}) {
    line += fmt::format(" Counted as {}, where the published figures end.",
                        show_temperature(*plan.question.warmest > Celsius{30} ? 30 : 0, display));
  }
  return line;
}

std::string priming_line(const PackagingPlan& plan, const DisplaySettings& display) {
  const PackagingQuestion& question = plan.question;
  const PrimingDose& dose = *plan.priming;
  if (dose.grams_per_litre <= 0) {
    return fmt::format("{:.3g} volumes are wanted, and it holds as much already: no sugar.",
                       question.volumes);
  }
  const std::string each = fmt::format("{:.1f} g in each bottle of {}", dose.grams_per_bottle,
                                       show_container(question.bottle_l, display));
  if (!dose.grams) {
    return fmt::format("For {:.3g} volumes: {} of {}, {}.", question.volumes,
                       show_dose(dose.grams_per_litre, display), sugar_words(question.sugar), each);
  }
  return fmt::format("For {:.3g} volumes: {} of {} in {} ({}); {}, {:.0f} bottles.", question.volumes,
                     show_sugar(*dose.grams, display), sugar_words(question.sugar),
                     show_volume(*question.volume_l, display), show_dose(dose.grams_per_litre, display), each,
                     *dose.bottles);
}

std::string priming_assumption(Sugar sugar, double grams_per_litre, const DisplaySettings& display) {
  if (sugar != Sugar::dry_malt_extract) {
    return fmt::format(
        "  Counted: all of the sugar ferments, {:.3f} g of gas a gram; a volume of gas is {:.3f} g/L.",
        co2_grams_per_gram(sugar), kCo2GramsPerVolume);
  }
  const double share = co2_grams_per_gram(sugar) / co2_grams_per_gram(Sugar::sucrose);
  return fmt::format(
      "  Counted: {} of the malt is extract and {} of that ferments, {:.3f} g of gas a gram; a volume of gas "
      "is {:.3f} g/L. Malts differ: this is {:.1f} times the weight of sucrose; common tables, from memory, "
      "give about {:g} times, {}. The lower dose is the safer one.",
      show_percent(kExtractOfDryMalt), show_percent(kFermentableOfDryMalt), co2_grams_per_gram(sugar),
      kCo2GramsPerVolume, 1 / share, kTableWeightOfDryMalt,
      show_dose(grams_per_litre * share * kTableWeightOfDryMalt, display));
}

std::string keg_line(const PackagingPlan& plan, const DisplaySettings& display) {
  if (plan.keg->gauge_bar <= 0) {
    return fmt::format("Beer at {} holds {:.3g} volumes under the air's pressure alone; no gas is needed.",
                       show_temperature(plan.question.serving.value, display), plan.question.volumes);
  }
  return fmt::format(
      "For {:.3g} volumes at {}: {} on the gauge, by the chart; by Henry's law {}. Beers differ by 5 to 10 "
      "%.",
      plan.question.volumes, show_temperature(plan.question.serving.value, display),
      show_pressure(plan.keg->gauge_bar, display), show_pressure(plan.keg->gauge_bar_henry, display));
}

std::vector<std::string> warm_lines(const PackagingPlan& plan, const DisplaySettings& display) {
  std::vector<std::string> lines{
      fmt::format("A full {} that gets warm reaches at most, on the gauge:", plan.keg ? "keg" : "bottle")};
  for (const WarmPressure& one : plan.warm) {
    lines.push_back(fmt::format("  {} at {}", show_pressure(one.gauge_bar, display),
                                show_temperature(one.beer.value, display)));
  }
  lines.push_back(
      fmt::format("  The space above the beer takes some. Above {} the fits go beyond what was "
                  "measured.",
                  show_temperature(25, display)));
  return lines;
}

std::string risk_sentence(const PackagingPlan& plan, const DisplaySettings& display) {
  std::string text = "Its gravity has not been found stable: it may ferment on where it is closed in.";
  if (!plan.risk) return text + " How much is left is not known.";
  const UnfinishedRisk& risk = *plan.risk;
  text += fmt::format(
      " Left are about {}, {} at most, each half a volume of gas: {:.1f} volumes more, {:.1f} at most. At {} "
      "that makes {}, {} at most.",
      show_gravity_change(risk.to_go.likely.value, display),
      show_gravity_change(risk.to_go.most.value, display), risk.extra_volumes, risk.extra_volumes_most,
      show_temperature(plan.question.storage.value, display), show_pressure(risk.gauge_bar, display),
      show_pressure(risk.gauge_bar_most, display));
  if (plan.keg) {
    return text + fmt::format(
                      " A relief valve lets a keg off before it bursts, if it works; the usual keg is "
                      "made for {}. Less dangerous than bottles, not harmless.",
                      show_pressure(kUsualKegBar, display));
  }
  if (plan.question.volumes + risk.extra_volumes_most <= kUsualVolumesOfBottles) return text;
  return text + fmt::format(" Ordinary bottles are for {:g} volumes, never more than {:g}: these can burst.",
                            kUsualVolumesOfBottles, kMostVolumesOfBottles);
}

// Those that do not depend on the plan.
constexpr const char* kGlassBursts =
    "Keep bottles in a closed box. Chill a doubtful batch before you touch it, with eyes and hands covered, "
    "and "
    "never shake it. Used, scuffed glass is much weaker than new; PET fails more gently.";

std::string relief_valve_sentence(const DisplaySettings& display) {
  return fmt::format(
      "Put gas on a keg only through a pressure regulator, and only on one that is rated for it, usually {}, "
      "with a relief valve that works. Vent it before you open it. Tie the cylinder upright, and test the "
      "fittings for leaks.",
      show_pressure(kUsualKegBar, display));
}

// Common practice and some countries' law are named as such, briefly.
//   source  limits of bottles and kegs: common practice; carbon dioxide 5000 ppm over eight hours: 29 CFR
//           1910.1000, Directive 2006/15/EC; 1.5 times as heavy as air at 20 degC
std::string caution_sentence(PackagingCaution caution, const PackagingPlan& plan,
                             const DisplaySettings& display) {
  const double volumes = plan.question.volumes;
  switch (caution) {
    case PackagingCaution::unfinished:
      return risk_sentence(plan, display);
    case PackagingCaution::on_word:
      return "Only your word says that it is finished. At least two samples, two or three days apart, must "
             "read the same: what is left ferments in the closed container and adds half a volume of gas a "
             "point.";
    case PackagingCaution::too_much_gas:
      return fmt::format(
          "{:.3g} volumes are more than ordinary bottles bear, {:g} at most: use a keg, or heavy "
          "bottles made for it.",
          volumes, kMostVolumesOfBottles);
    case PackagingCaution::much_gas:
      return fmt::format(
          "{:.3g} volumes are above the {:g} that ordinary bottles are for: use heavy, unscratched "
          "glass.",
          volumes, kUsualVolumesOfBottles);
    case PackagingCaution::warm_storage:
      return fmt::format("Heat is what bursts bottles: keep them below {}.",
                         show_temperature(kWarmStorage.value, display));
    case PackagingCaution::glass_bursts:
      return kGlassBursts;
    case PackagingCaution::relief_valve:
      return relief_valve_sentence(display);
    case PackagingCaution::gas_in_rooms:
      return "Carbon dioxide is heavier than air and fills cellars, chests and vessels from below: air them, "
             "and never put your head in. Many countries allow about 0.5 % in the air of a working day; "
             "follow your local rules.";
  }
  return "";
}

}  // namespace

std::string handling_caution(Container container, const DisplaySettings& display) {
  return container == Container::bottles ? kGlassBursts : relief_valve_sentence(display);
}

std::string show_container(double litres, const DisplaySettings& display) {
  if (in_litres(display))
    return litres < 2 ? fmt::format("{:.0f} mL", 1000 * litres) : show_volume(litres, display);
  return litres < 2 ? fmt::format("{:.1f} fl oz", litres / kLitresPerUsFluidOunce)
                    : show_volume(litres, display);
}

std::string show_pressure(double gauge_bar, const DisplaySettings& display) {
  const std::string bar = fmt::format("{:.{}f} bar", gauge_bar, gauge_bar < 2 ? 2 : 1);
  const double pounds = gauge_bar * kPsiPerBar;
  const std::string psi = fmt::format("{:.{}f} psi", pounds, pounds < 20 ? 1 : 0);
  return in_litres(display) ? fmt::format("{} ({})", bar, psi) : fmt::format("{} ({})", psi, bar);
}

std::vector<std::string> packaging_lines(const PackagingPlan& plan, const DisplaySettings& display) {
  std::vector<std::string> lines = alcohol_lines(plan.alcohol);
  lines.push_back(attenuation_line(plan.alcohol));
  lines.push_back(energy_line(plan, display));
  lines.push_back(gas_line(plan, display));
  if (plan.priming) {
    lines.push_back(priming_line(plan, display));
    if (plan.priming->grams_per_litre > 0) {
      lines.push_back(priming_assumption(plan.question.sugar, plan.priming->grams_per_litre, display));
    }
  }
  if (plan.keg) lines.push_back(keg_line(plan, display));
  for (std::string& line : warm_lines(plan, display)) lines.push_back(std::move(line));
  lines.emplace_back("Take care:");
  for (const PackagingCaution caution : plan.cautions) {
    lines.push_back("- " + caution_sentence(caution, plan, display));
  }
  return lines;
}

std::string packaging_facts(const BatchSpec& spec, const BatchView& view, const PackagingQuestion& question,
                            Time kept_since, const DisplaySettings& display, Time now) {
  std::string end = view.final_gravity_since
                        ? "found stable " + show_time_from(*view.final_gravity_since, display, now)
                        : std::string("not found stable");
  if (view.known && view.old_at(now)) {
    end += fmt::format(", not known since {}", show_time_from(*view.known, display, now));
  }
  const char* const inferred =
      view.original_gravity_inferred && view.original_gravity == question.original_gravity.value()
          ? " (inferred from its readings)"
          : "";
  return fmt::format("{}: from {}{} to {}, {}. For its gas the warmest since {} counts.", spec.name,
                     show_gravity(question.original_gravity.value(), display, 4), inferred,
                     show_gravity(question.final_gravity.value(), display, 4), end,
                     show_time_from(kept_since, display, now));
}

bool ready_to_package(const BatchView& view, Time now) {
  return view.final_gravity_since.has_value() && !view.old_at(now);
}

std::string too_early_sentence(const BatchSpec& spec, const BatchView& view,
                               const std::optional<TimeInterval>& ready, const DisplaySettings& display,
                               Time now) {
  if (view.known && view.old_at(now)) {
    return fmt::format(
        "Nothing is known of \"{}\" since {}, when its gravity was {}{}. Measure a sample first: what is "
        "left "
        "ferments on in the bottle, which can burst. With override you get the advice, with what is risked.",
        spec.name, show_time_from(*view.known, display, now),
        view.gravity ? show_gravity(view.gravity->value, display, 4) : std::string("unknown"),
        view.final_gravity_since ? ", stable then" : "");
  }
  std::string text = fmt::format("\"{}\" must not be packaged yet: its gravity", spec.name);
  if (view.gravity) text += fmt::format(", {},", show_gravity(view.gravity->value, display, 4));
  text += " has not been found stable. What is left ferments on in the bottle, which can burst.";
  if (view.stage == Stage::stuck) text += " Fermentation seems to have stopped early.";
  const std::string span = ready ? show_span(*ready, display) : "";
  text += span.empty() ? " When it will be ready cannot be said yet."
                       : fmt::format(" It is expected to be ready {}.", span);
  return text + " With override you get the advice, with what is risked.";
}

std::string left_early_sentence(const BatchView& view, const DisplaySettings& display, Time now) {
  if (ready_to_package(view, now)) return "";
  std::string text = "Its gravity";
  if (view.gravity) text += fmt::format(", {},", show_gravity(view.gravity->value, display, 4));
  text += view.known && view.old_at(now)
              ? fmt::format(" has not been known since {}.", show_time_from(*view.known, display, now))
              : " has not been found stable.";
  return text +
         " If it is bottled, what is left ferments on and can burst the bottles. Make sure by hand that it "
         "is "
         "finished; keep bottles cool and in a closed box.";
}

std::string pitch_caution() {
  return "Leave the gas a way out, through an airlock or a blow-off tube: a closed vessel can burst. Carbon "
         "dioxide gathers unseen in cellars and chest freezers: air them before you lean in, and follow your "
         "local rules.";
}

}  // namespace gyle
