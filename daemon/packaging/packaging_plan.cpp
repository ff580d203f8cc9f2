#include "packaging/packaging_plan.h"

#include <fmt/format.h>

#include <algorithm>

#include "units/carbonation.h"
#include "units/residual_co2.h"

namespace gyle {
namespace {

Status within(const char* what, double value, double least, double most, const char* unit) {
  if (value >= least && value <= most) return success();
  return fail(Errc::out_of_range,
              fmt::format("{} of {:g} {} is not from {:g} to {:g} {}", what, value, unit, least, most, unit));
}

Status possible(const PackagingQuestion& q) {
  if (q.final_gravity > q.original_gravity) {
    return fail(
        Errc::out_of_range,
        fmt::format("the final gravity, {:.4f}, is above the original one, {:.4f}; it falls while beer "
                    "ferments. Are they the wrong way round?",
                    q.final_gravity.value(), q.original_gravity.value()));
  }
  BOOST_OUTCOME_TRY(within("a carbonation", q.volumes, kLeastVolumes, kMostVolumes, "volumes"));
  BOOST_OUTCOME_TRY(within("a bottle", q.bottle_l, 0.05, 10, "L"));
  BOOST_OUTCOME_TRY(within("a serving temperature", q.serving.value, -2, 30, "°C"));
  BOOST_OUTCOME_TRY(within("a storage temperature", q.storage.value, 0, 45, "°C"));
  if (q.volume_l) {
    BOOST_OUTCOME_TRY(within("a volume", *q.volume_l, 0.1, 10000, "L"));
  }
  if (!q.warmest) {
    return fail(Errc::missing,
                "the warmest temperature of the beer since it stopped fermenting is not known; say it, as "
                "warmest \"20 Cel\": the gas that is left in it depends on it");
  }
  return within("a warmest temperature of the beer", q.warmest->value, -5, 45, "°C");
}

Status finished(const AlcoholRoutes& alcohol) {
  if (alcohol.apparent_attenuation >= kLeastAttenuation) return success();
  return fail(
      Errc::out_of_range,
      fmt::format("an apparent attenuation of {:.0f} % is too little for a finished beer; {:.0f} % is "
                  "the least that is taken here. It has hardly fermented, or a gravity is mistyped",
                  100 * alcohol.apparent_attenuation, 100 * kLeastAttenuation));
}

Result<UnfinishedRisk> risk_of(const PackagingQuestion& q, PointsToGo to_go) {
  UnfinishedRisk risk{to_go, 0, 0, 0, 0};
  risk.extra_volumes = risk.to_go.likely.value * kVolumesPerPoint;
  risk.extra_volumes_most = risk.to_go.most.value * kVolumesPerPoint;
  constexpr double kFitsReach = 20;  // volumes; no container does
  BOOST_OUTCOME_TRY(likely, most_gauge_bar(q.storage, std::min(kFitsReach, q.volumes + risk.extra_volumes)));
  BOOST_OUTCOME_TRY(most,
                    most_gauge_bar(q.storage, std::min(kFitsReach, q.volumes + risk.extra_volumes_most)));
  risk.gauge_bar = likely;
  risk.gauge_bar_most = most;
  return risk;
}

}  // namespace

Result<PackagingPlan> plan_packaging(const PackagingQuestion& question) {
  BOOST_OUTCOME_TRY(possible(question));
  BOOST_OUTCOME_TRY(alcohol, alcohol_by_routes(question.original_gravity, question.final_gravity));
  BOOST_OUTCOME_TRY(finished(alcohol));
  BOOST_OUTCOME_TRY(residual, residual_co2_volumes(std::clamp(*question.warmest, Celsius{0}, Celsius{30})));
  PackagingPlan plan{question, alcohol, energy_in(0.1, alcohol, question.final_gravity), residual, {}, {}, {},
                     {},       {}};
  const double held = std::max(question.volumes, residual);
  if (question.container == Container::bottles) {
    const double per_litre = priming_grams_per_litre(question.sugar, held - residual);
    plan.priming = PrimingDose{per_litre, per_litre * question.bottle_l, {}, {}};
    if (question.volume_l) {
      plan.priming->grams = per_litre * *question.volume_l;
      plan.priming->bottles = *question.volume_l / question.bottle_l;
    }
  } else {
    const auto bar = [&](CarbonationFit fit) {
      return carbonation_gauge_bar(question.serving, question.volumes, fit);
    };
    BOOST_OUTCOME_TRY(chart, bar(CarbonationFit::chart));
    BOOST_OUTCOME_TRY(henry, bar(CarbonationFit::henry));
    plan.keg = KegPressure{std::max(0.0, chart), std::max(0.0, henry)};
  }
  std::vector<Celsius> temperatures{Celsius{25}, Celsius{30}, Celsius{35}, Celsius{40}};
  if (std::find(temperatures.begin(), temperatures.end(), question.storage) == temperatures.end()) {
    temperatures.push_back(question.storage);
  }
  std::sort(temperatures.begin(), temperatures.end());
  for (const Celsius beer : temperatures) {
    BOOST_OUTCOME_TRY(bar, most_gauge_bar(beer, held));
    plan.warm.push_back({beer, std::max(0.0, bar)});
  }
  if (question.finished == Finished::not_seen && question.to_go) {
    BOOST_OUTCOME_TRY(risk, risk_of(question, *question.to_go));
    plan.risk = risk;
  }
  plan.cautions = packaging_cautions(question.container, held, question.storage, question.finished);
  return plan;
}

}  // namespace gyle
