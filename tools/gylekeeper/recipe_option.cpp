#include "recipe_option.h"

#include "config/recipe_file.h"
#include "tool_settings.h"
#include "units/hydrometer.h"
#include "units/quantity_text.h"

namespace gyle {

Result<PlannedRecipe> planned_recipe(const std::filesystem::path& path, const CommonOptions& common) {
  BOOST_OUTCOME_TRY(recipe, load_recipe(path));
  BOOST_OUTCOME_TRY(plan, plan_brew(recipe));
  BOOST_OUTCOME_TRY(settings, tool_settings(common));
  BOOST_OUTCOME_TRY(zone, brewers_time_zone(common));
  PlannedRecipe planned{recipe, plan, settings.display};
  planned.display.time_zone = zone;
  return planned;
}

Result<Wort> measured_wort(const std::string& volume, const std::string& gravity,
                           const std::optional<std::string>& volume_at,
                           const std::optional<std::string>& gravity_at) {
  BOOST_OUTCOME_TRY(litres, parse_volume_litres(volume));
  if (volume_at) {
    BOOST_OUTCOME_TRY(t, parse_temperature(*volume_at));
    BOOST_OUTCOME_TRY(cold, volume_at_20(litres, t));
    litres = cold;
  }
  BOOST_OUTCOME_TRY(read, parse_gravity(gravity));
  if (gravity_at) {
    BOOST_OUTCOME_TRY(t, parse_temperature(*gravity_at));
    BOOST_OUTCOME_TRY(corrected, corrected_hydrometer_reading(read, t));
    read = corrected;
  }
  return wort_of(litres, read);
}

}  // namespace gyle
