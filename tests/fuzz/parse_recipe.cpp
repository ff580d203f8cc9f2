// Input: a recipe. What is accepted can be planned with finite numbers, or is refused with a reason; what is
// not accepted is refused line by line.
#include <cmath>
#include <cstdint>

#include "base/text.h"
#include "brewday/brew_plan.h"
#include "config/batch_validation.h"
#include "config/recipe_file.h"
#include "fuzz_check.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace gyle;
  const auto recipe = parse_recipe({reinterpret_cast<const char*>(data), size}, "f.toml");
  if (!recipe) {
    check_lines(recipe.error().message, "f.toml:");
    return 0;
  }
  FUZZ_CHECK(!recipe.value().grain.empty());
  const auto plan = plan_brew(recipe.value());
  if (!plan) {
    FUZZ_CHECK(is_clean_text(plan.error().message));
    return 0;
  }
  FUZZ_CHECK(std::isfinite(plan.value().strike.value) && std::isfinite(plan.value().strike_water_kg));
  FUZZ_CHECK(plan.value().grain_kg > 0);
  BatchSpec batch = batch_of(recipe.value(), plan.value());
  batch.pitched = Time(Duration(1'772'389'800'000));
  FUZZ_CHECK(validate(batch).has_value());
  return 0;
}
