#include "control/recipe_routes.h"

#include <nlohmann/json.hpp>

#include "brewday/brew_plan.h"
#include "config/recipe_file.h"
#include "control/json_answer.h"
#include "control/view_json.h"

namespace gyle {
namespace {

Result<BatchSpec> described(const Call& call) {
  BOOST_OUTCOME_TRY(recipe, parse_recipe(call.request.body, "recipe"));
  BOOST_OUTCOME_TRY(plan, plan_brew(recipe));
  BatchSpec batch = batch_of(recipe, plan);
  batch.pitched = call.cellar.daemon().now;
  return batch;
}

HttpResponse read_recipe(const Call& call) {
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != "application/toml") {
    return problem(415, "the recipe must be sent as application/toml");
  }
  const auto batch = described(call);
  if (!batch) return problem(batch.error());
  return json_response(
      {{"spec", to_json(batch.value())}, {"attenuation_given", batch.value().yeast.attenuation_given}});
}

constexpr Route kRecipeRoutes[] = {{"POST", "/v1/recipes/batch", read_recipe}};

}  // namespace

std::span<const Route> recipe_routes() { return kRecipeRoutes; }

}  // namespace gyle
