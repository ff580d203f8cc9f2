#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "base/text.h"
#include "clock/local_time.h"
#include "clock/system_clock.h"
#include "output_file.h"
#include "recipe_option.h"
#include "reports/brew_sheet_calendar.h"
#include "reports/brew_sheet_html.h"
#include "reports/day_sheet.h"
#include "reports/plan_facts.h"
#include "verbs.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kWidth = 88;

struct BrewdayOptions {
  std::filesystem::path recipe;
  std::optional<std::string> start;
  std::optional<std::filesystem::path> sheet;
  std::optional<std::filesystem::path> calendar;
};

// Lines below one another from a column on; the first is beside `head`.
void print_beside(const std::string& head, std::size_t column, const std::string& text) {
  std::string margin = head + std::string(column - std::min(column, columns(head)), ' ');
  for (const std::string& line : in_lines(displayable(text, text.size()), kWidth - column)) {
    fmt::print("{}{}\n", margin, line);
    margin.assign(column, ' ');
  }
}

std::string moment(Duration at, const std::optional<Time>& start, const DisplaySettings& display) {
  return start ? show_clock(*start + at, display)
               : fmt::format("+{}:{:02}", at / hours(1), at / minutes(1) % 60);
}

void print_lines(const PlannedRecipe& p, const DaySheet& sheet, const std::optional<Time>& start) {
  fmt::print("{}: {}{}\n\n", displayable(p.recipe.name, p.recipe.name.size()),
             show_volume(p.recipe.batch_l, p.display),
             start ? ", begun " + show_time(*start, p.display) : "");
  constexpr std::size_t kLabel = 18;
  constexpr std::size_t kValue = 19;
  for (const PlanFact& fact : plan_facts(p.recipe, p.plan, p.display)) {
    const std::string head = fact.label + std::string(kLabel - columns(fact.label), ' ') + fact.value;
    print_beside(head, kLabel + kValue, fact.more);
  }
  fmt::print("\nThe day\n");
  constexpr std::size_t kTime = 8;
  for (const DayStep& step : sheet.steps) {
    print_beside("  " + moment(step.at, start, p.display), kTime, step.what + ". " + step.how);
    if (!step.caution.empty()) print_beside("", kTime, "Care: " + step.caution);
  }
  fmt::print("\nAssumptions\n");
  for (const std::string& one : plan_assumptions(p.recipe, p.plan, sheet, p.display)) {
    print_beside("  -", 4, one);
  }
}

nlohmann::json to_json(const PlannedRecipe& p, const DaySheet& sheet, const std::optional<Time>& start) {
  const BrewPlan& plan = p.plan;
  nlohmann::json json{{"name", p.recipe.name},
                      {"batch_litres", p.recipe.batch_l},
                      {"water_cold_litres", plan.water.total_cold_l},
                      {"water_hot_litres", plan.water.total_cold_l / cooling_shrinkage(plan.strike)},
                      {"grain_kilograms", plan.grain_kg},
                      {"strike_celsius", plan.strike.value},
                      {"mash_celsius", p.recipe.mash.temperature.value},
                      {"mash_volume_litres", plan.water.mash_volume_l},
                      {"preboil_hot_litres", plan.water.pre_boil_hot_l},
                      {"preboil_gravity_sg", plan.wort.pre_boil.gravity().value()},
                      {"postboil_hot_litres", plan.water.post_boil_hot_l},
                      {"original_gravity_sg", plan.wort.post_boil.gravity().value()},
                      {"efficiency_fraction", p.recipe.mash_efficiency},
                      {"evaporation_litres_per_hour", p.recipe.evaporation_l_per_h},
                      {"trub_litres", p.recipe.trub_l},
                      {"absorption_litres_per_kilogram", p.recipe.absorption_l_per_kg},
                      {"displacement_litres_per_kilogram", p.recipe.displacement_l_per_kg},
                      {"yeast_billion_cells", plan.yeast.billion_cells},
                      {"yeast_dry_grams", plan.yeast.dry_grams},
                      {"yeast_dry_grams_low", plan.yeast.dry_grams_low},
                      {"yeast_dry_grams_high", plan.yeast.dry_grams_high},
                      {"pitch_celsius", plan.pitch.value}};
  if (plan.fit) {
    json["kettle_fits"] = plan.fit->fits();
    json["kettle_spare_litres"] = plan.fit->spare_l;
    if (plan.fit->largest_batch_l) json["largest_batch_litres"] = *plan.fit->largest_batch_l;
  }
  json["steps"] = nlohmann::json::array();
  for (const DayStep& step : sheet.steps) {
    nlohmann::json one{{"after_minutes", step.at / minutes(1)},
                       {"lasts_minutes", step.lasts / minutes(1)},
                       {"what", step.what},
                       {"how", step.how},
                       {"caution", step.caution}};
    if (start) one["time"] = format_rfc3339(*start + step.at);
    json["steps"].push_back(std::move(one));
  }
  return json;
}

Exit run_brewday(const BrewdayOptions& options, const CommonOptions& common) {
  const auto planned = planned_recipe(options.recipe, common);
  if (!planned) return complain(planned.error(), Exit::wrong_use);
  const PlannedRecipe& p = planned.value();
  const Time now = SystemClock().now();
  std::optional<Time> start;
  if (options.start) {
    const auto time = parse_local_time(*options.start, now, p.display.time_zone, TimeSense::future);
    if (!time) return complain(time.error(), Exit::wrong_use);
    start = time.value();
  }
  const DaySheet sheet = day_sheet(p.recipe, p.plan, p.display);
  if (options.sheet) {
    const auto written =
        write_file(*options.sheet, brew_sheet_html(p.recipe, p.plan, sheet, start, p.display, GYLE_VERSION));
    if (!written) return complain(written.error());
  }
  if (options.calendar) {
    const auto written = write_file(*options.calendar, brew_sheet_calendar(p.recipe, sheet, *start, now));
    if (!written) return complain(written.error());
  }
  if (common.json) {
    fmt::print("{}\n", to_json(p, sheet, start).dump());
  } else {
    print_lines(p, sheet, start);
  }
  return Exit::ok;
}

}  // namespace

Verb brewday_verb() {
  const auto o = std::make_shared<BrewdayOptions>();
  return {.name = "brewday",
          .about = "plan a brew day: water, strike, kettle, gravities, yeast, and what to do when",
          .arguments = {{.name = "recipe",
                         .place = &o->recipe,
                         .about = "RECIPE.toml; recipe.toml among the documentation shows every key",
                         .required = true,
                         .offer = Offer::files},
                        {.name = "--start",
                         .place = &o->start,
                         .about = "when the heat goes on, as \"sat 09:00\", the next one; without it times "
                                  "count from there"},
                        {.name = "--sheet",
                         .place = &o->sheet,
                         .about = "write the day to this file as HTML, to print on one page",
                         .offer = Offer::files},
                        {.name = "--calendar",
                         .place = &o->calendar,
                         .about = "write the day to this file as iCalendar, with an alarm for every step",
                         .offer = Offer::files,
                         .needs = {"--start"}}},
          .notes =
              "A full-volume mash in a bag: all the water is in the kettle from the beginning, the bag "
              "comes out, and the wort is boiled. The daemon is not needed.",
          .examples = {"gylekeeper brewday amber-12-recipe.toml --start \"sat 09:00\" --sheet day.html "
                       "--calendar day.ics"},
          .run = [o](const CommonOptions& common) { return run_brewday(*o, common); }};
}

}  // namespace gyle
