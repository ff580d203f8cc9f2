#include "control/packaging_json.h"

#include <nlohmann/json.hpp>

#include "units/carbonation.h"
#include "units/us_customary.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

Json alcohol_json(const AlcoholRoutes& alcohol) {
  Json json{{"by_volume", alcohol.volume_balling},
            {"by_volume_low", alcohol.least_volume()},
            {"by_volume_high", alcohol.most_volume()},
            {"by_volume_quotient", alcohol.volume_quotient}};
  if (alcohol.volume_uk_table) json["by_volume_uk_table"] = *alcohol.volume_uk_table;
  json["by_volume_rule"] = alcohol.volume_rule;
  json["by_weight"] = alcohol.weight_balling;
  json["by_weight_quotient"] = alcohol.weight_quotient;
  return json;
}

Json pressures_json(const std::vector<WarmPressure>& warm) {
  Json json = Json::array();
  for (const WarmPressure& one : warm) {
    json.push_back({{"beer_celsius", one.beer.value},
                    {"gauge_bar", one.gauge_bar},
                    {"gauge_psi", one.gauge_bar * kPsiPerBar}});
  }
  return json;
}

Json priming_json(const PackagingQuestion& question, const PrimingDose& dose) {
  Json json{{"sugar", name(question.sugar)},
            {"co2_grams_per_gram", co2_grams_per_gram(question.sugar)},
            {"grams_per_litre", dose.grams_per_litre},
            {"bottle_litres", question.bottle_l},
            {"grams_per_bottle", dose.grams_per_bottle}};
  if (dose.grams) json["grams"] = *dose.grams;
  if (dose.bottles) json["bottles"] = *dose.bottles;
  return json;
}

}  // namespace

Json to_json(const PackagingPlan& plan) {
  const PackagingQuestion& question = plan.question;
  Json json{{"original_gravity_sg", question.original_gravity.value()},
            {"final_gravity_sg", question.final_gravity.value()},
            {"warmest_celsius", question.warmest->value}};
  if (question.volume_l) json["volume_litres"] = *question.volume_l;
  json["alcohol"] = alcohol_json(plan.alcohol);
  json["original_extract_plato"] = plan.alcohol.original_extract.value;
  json["apparent_extract_plato"] = plan.alcohol.apparent_extract.value;
  json["real_extract_plato"] = plan.alcohol.real_extract.value;
  json["apparent_attenuation"] = plan.alcohol.apparent_attenuation;
  json["apparent_attenuation_by_plato"] = plan.alcohol.apparent_extract_share;
  json["real_attenuation"] = plan.alcohol.real_attenuation;
  json["energy_kj_per_100_ml"] = plan.energy_100_ml.kj;
  json["energy_kcal_per_100_ml"] = plan.energy_100_ml.kcal;
  const double glasses_l[] = {0.33, 0.5, 12 * kLitresPerUsFluidOunce};
  const char* const glasses[] = {"energy_kcal_per_330_ml", "energy_kcal_per_500_ml",
                                 "energy_kcal_per_12_fl_oz"};
  for (std::size_t i = 0; i < std::size(glasses); ++i) {
    json[glasses[i]] = 10 * glasses_l[i] * plan.energy_100_ml.kcal;
  }
  json["residual_volumes"] = plan.residual_volumes;
  json["co2_grams_per_volume"] = kCo2GramsPerVolume;
  json["kind"] = name(question.container);
  json["wanted_volumes"] = question.volumes;
  if (plan.priming) json["priming"] = priming_json(question, *plan.priming);
  if (plan.keg) {
    json["keg"] = {{"serving_celsius", question.serving.value},
                   {"gauge_bar", plan.keg->gauge_bar},
                   {"gauge_psi", plan.keg->gauge_bar * kPsiPerBar},
                   {"gauge_bar_henry", plan.keg->gauge_bar_henry}};
  }
  json["storage_celsius"] = question.storage.value;
  json["warm"] = pressures_json(plan.warm);
  if (plan.risk) {
    const UnfinishedRisk& risk = *plan.risk;
    json["risk"] = {{"points_to_go", risk.to_go.likely.value},
                    {"points_to_go_most", risk.to_go.most.value},
                    {"extra_volumes", risk.extra_volumes},
                    {"extra_volumes_most", risk.extra_volumes_most},
                    {"gauge_bar", risk.gauge_bar},
                    {"gauge_bar_most", risk.gauge_bar_most}};
  }
  json["cautions"] = Json::array();
  for (const PackagingCaution caution : plan.cautions) json["cautions"].push_back(name(caution));
  return json;
}

}  // namespace gyle
