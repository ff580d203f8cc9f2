#include "control/packaging_routes.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "control/json_answer.h"
#include "control/reference.h"
#include "packaging/points_to_go.h"
#include "packaging/warmest_beer.h"
#include "units/carbonation.h"
#include "units/quantity_text.h"
#include "units/us_customary.h"
#include "wording/packaging_lines.h"

namespace gyle {
namespace {

using Query = std::map<std::string, std::string, std::less<>>;

// Takes a value from the query, if it is there.
template <class Value, class Parsed>
Status take(const Query& query, std::string_view name, Value& place,
            Result<Parsed> (*parse)(std::string_view)) {
  const auto found = query.find(name);
  if (found == query.end()) return success();
  const auto parsed = parse(found->second);
  if (!parsed) return fail(parsed.error().code, fmt::format("{}: {}", name, parsed.error().message));
  place = parsed.value();
  return success();
}

Result<Container> parse_container(std::string_view text) {
  if (const auto container = container_named(text)) return *container;
  return fail(Errc::malformed, fmt::format("'{}' is not bottles or keg", text.substr(0, 40)));
}

Result<Sugar> parse_sugar(std::string_view text) {
  if (const auto sugar = sugar_named(text)) return *sugar;
  return fail(Errc::malformed,
              fmt::format("'{}' is not sucrose, glucose-monohydrate, glucose or dry-malt-extract",
                          text.substr(0, 40)));
}

}  // namespace

Result<PackagingQuestion> packaging_question(const Query& query, const KnownBeer& known) {
  std::optional<SpecificGravity> original = known.original_gravity;
  std::optional<SpecificGravity> final_gravity = known.final_gravity;
  BOOST_OUTCOME_TRY(take(query, "original_gravity", original, parse_gravity));
  BOOST_OUTCOME_TRY(take(query, "final_gravity", final_gravity, parse_gravity));
  if (!original)
    return fail(Errc::missing, "the original gravity is not known; say it, as 1.048 or \"12 P\"");
  if (!final_gravity)
    return fail(Errc::missing, "the final gravity is not known; say it, as 1.012 or \"3.1 P\"");
  PackagingQuestion question{.original_gravity = *original,
                             .final_gravity = *final_gravity,
                             .warmest = known.warmest,
                             .volume_l = known.volume_l,
                             .finished = known.finished};
  BOOST_OUTCOME_TRY(take(query, "warmest", question.warmest, parse_temperature));
  BOOST_OUTCOME_TRY(take(query, "volumes", question.volumes, parse_carbonation_volumes));
  BOOST_OUTCOME_TRY(take(query, "kind", question.container, parse_container));
  BOOST_OUTCOME_TRY(take(query, "sugar", question.sugar, parse_sugar));
  BOOST_OUTCOME_TRY(take(query, "volume", question.volume_l, parse_volume_litres));
  BOOST_OUTCOME_TRY(take(query, "bottle", question.bottle_l, parse_volume_litres));
  BOOST_OUTCOME_TRY(take(query, "serving", question.serving, parse_temperature));
  BOOST_OUTCOME_TRY(take(query, "storage", question.storage, parse_temperature));
  return question;
}

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

namespace {

Result<bool> overridden(const Call& call) {
  const std::string text = call.query("override").value_or("false");
  if (text == "true" || text == "false") return text == "true";
  return fail(Errc::malformed, "override is true or false");
}

Error too_early(const Call& call, const BatchRecord& batch) {
  if (batch.packaged) {
    return {Errc::conflict, left_early_sentence(batch.view, call.display, *batch.packaged) +
                                " With override you get the advice, with what is risked."};
  }
  const auto outlook = call.cellar.outlook(batch.id, {});
  return {Errc::conflict,
          too_early_sentence(batch.spec, batch.view, outlook ? outlook.value().ready_time : std::nullopt,
                             call.display, call.cellar.daemon().now)};
}

HttpResponse advise(const Call& call) {
  const auto found = find_batch(call.cellar.batches(), call.segment(2));
  if (!found) return problem(found.error());
  const BatchRecord& batch = found.value();
  if (!batch.unreadable.empty()) {
    return problem(409, fmt::format("nothing is known of \"{}\", for its description cannot be read: {}",
                                    batch.spec.name, batch.unreadable));
  }
  const BatchView& view = batch.view;
  const auto all_the_same = overridden(call);
  if (!all_the_same) return problem(all_the_same.error());
  const Time end = batch.packaged.value_or(call.cellar.daemon().now);
  const bool ready = ready_to_package(view, end);
  if (!ready && !all_the_same.value()) return problem(too_early(call, batch));
  const auto trace = call.cellar.trace(batch.id);
  if (!trace) return problem(trace.error());
  const Time since = gas_kept_since(batch.spec, view, end);
  KnownBeer known;
  if (view.original_gravity) known.original_gravity = SpecificGravity::unchecked(*view.original_gravity);
  if (view.gravity) known.final_gravity = SpecificGravity::unchecked(view.gravity->value);
  known.warmest = warmest_beer(trace.value()->beer(), since, end);
  known.volume_l = batch.spec.volume_l;
  known.finished = ready ? Finished::measured : Finished::not_seen;
  auto question = packaging_question(call.target.query, known);
  if (!question) return problem(question.error());
  question.value().to_go = points_to_go(batch.spec, view, question.value().final_gravity);
  const auto plan = plan_packaging(question.value());
  if (!plan) return problem(plan.error());
  std::vector<std::string> lines = packaging_lines(plan.value(), call.display);
  lines.insert(lines.begin(), packaging_facts(batch.spec, view, question.value(), since, call.display, end));
  return json_response(
      {{"batch", batch.spec.name}, {"lines", std::move(lines)}, {"packaging", to_json(plan.value())}});
}

constexpr Route kPackagingRoutes[] = {{"GET", "/v1/batches/{batch}/packaging", advise}};

}  // namespace

std::span<const Route> packaging_routes() { return kPackagingRoutes; }

}  // namespace gyle
