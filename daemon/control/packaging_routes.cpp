#include "control/packaging_routes.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "control/batch_reference.h"
#include "control/json_answer.h"
#include "control/packaging_json.h"
#include "control/packaging_request.h"
#include "packaging/points_to_go.h"
#include "packaging/warmest_beer.h"
#include "wording/packaging_lines.h"

namespace gyle {
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
