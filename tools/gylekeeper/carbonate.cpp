#include <fmt/format.h>

#include <map>
#include <nlohmann/json.hpp>

#include "answer_lines.h"
#include "control/packaging_routes.h"
#include "control/request_target.h"
#include "control_client.h"
#include "tool_settings.h"
#include "verbs.h"
#include "wording/packaging_lines.h"

namespace gyle {
namespace {

struct CarbonateOptions {
  std::optional<std::string> batch;
  bool bottles = false;
  bool keg = false;
  std::optional<std::string> volumes;
  std::optional<std::string> sugar;
  std::optional<std::string> volume;
  std::optional<std::string> bottle;
  std::optional<std::string> serving;
  std::optional<std::string> storage;
  std::optional<std::string> original_gravity;
  std::optional<std::string> final_gravity;
  std::optional<std::string> warmest;
  bool all_the_same = false;
};

// The batch's own numbers are the daemon's; these go before them.
std::vector<std::pair<std::string, std::optional<std::string>>> given(const CarbonateOptions& o) {
  return {{"kind", o.keg ? std::optional<std::string>("keg") : std::nullopt},
          {"volumes", o.volumes},
          {"sugar", o.sugar},
          {"volume", o.volume},
          {"bottle", o.bottle},
          {"serving", o.serving},
          {"storage", o.storage},
          {"original_gravity", o.original_gravity},
          {"final_gravity", o.final_gravity},
          {"warmest", o.warmest}};
}

Exit of_batch(const CarbonateOptions& o, const CommonOptions& common) {
  auto query = given(o);
  if (o.all_the_same) query.emplace_back("override", "true");
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get("/v1/batches/" + percent_encoded(*o.batch) + "/packaging" + query_text(query));
  });
}

Result<PackagingPlan> plan_of(const CarbonateOptions& o) {
  std::map<std::string, std::string, std::less<>> query;
  for (const auto& [name, value] : given(o)) {
    if (value) query.emplace(name, *value);
  }
  BOOST_OUTCOME_TRY(question, packaging_question(query, {}));
  return plan_packaging(question);
}

Exit of_numbers(const CarbonateOptions& o, const CommonOptions& common) {
  if (o.all_the_same) {
    return complain(
        {Errc::malformed, "--override is about a batch; of a beer without one its gravity is your word"},
        Exit::wrong_use);
  }
  const auto settings = tool_settings(common);
  if (!settings) return complain(settings.error(), Exit::wrong_use);
  const auto plan = plan_of(o);
  if (!plan) return complain(plan.error(), Exit::wrong_use);
  const std::vector<std::string> lines = packaging_lines(plan.value(), settings.value().display);
  if (common.json) {
    const nlohmann::ordered_json answer{{"lines", lines}, {"packaging", to_json(plan.value())}};
    fmt::print("{}\n", answer.dump());
    return Exit::ok;
  }
  for (const std::string& line : lines) fmt::print("{}\n", line);
  return Exit::ok;
}

}  // namespace

Verb carbonate_verb() {
  const auto o = std::make_shared<CarbonateOptions>();
  return {
      .name = "carbonate",
      .about = "what a finished beer holds and needs: sugar or keg pressure, alcohol, energy, cautions",
      .arguments = {{.name = "batch",
                     .place = &o->batch,
                     .about = "its vessel, its name or its number; without one the gravities must be given",
                     .offer = Offer::batches},
                    {.name = "--bottles",
                     .place = &o->bottles,
                     .about = "primed with sugar: the default",
                     .excludes = {"--keg"}},
                    {.name = "--keg", .place = &o->keg, .about = "under pressure from a cylinder"},
                    {.name = "--co2",
                     .place = &o->volumes,
                     .about = "carbon dioxide wanted, in volumes, or as \"4.7 g/L\"; 2.4 when not given"},
                    {.name = "--sugar",
                     .place = &o->sugar,
                     .about = "sucrose when not given",
                     .choices = {"sucrose", "glucose-monohydrate", "glucose", "dry-malt-extract"},
                     .excludes = {"--keg"}},
                    {.name = "--volume",
                     .place = &o->volume,
                     .about = "of the beer, as \"11 L\"; the batch's when not given"},
                    {.name = "--bottle",
                     .place = &o->bottle,
                     .about = "what a bottle takes; \"500 mL\" when not given",
                     .excludes = {"--keg"}},
                    {.name = "--serving",
                     .place = &o->serving,
                     .about = "of the beer in the keg; \"6 C\" when not given",
                     .needs = {"--keg"}},
                    {.name = "--storage",
                     .place = &o->storage,
                     .about = "the warmest it will be kept at; \"25 C\" when not given"},
                    {.name = "--original-gravity",
                     .place = &o->original_gravity,
                     .about = "as 1.048 or \"12 P\"; the batch's when not given"},
                    {.name = "--final-gravity",
                     .place = &o->final_gravity,
                     .about = "measured by hand; the batch's estimate when not given"},
                    {.name = "--warmest",
                     .place = &o->warmest,
                     .about = "the warmest it was since it made no more gas; as measured when not given"},
                    {.name = "--override",
                     .place = &o->all_the_same,
                     .about = "also when gravity is not found stable; shows the risk"}},
      .notes =
          "From a batch it takes the gravities, and the highest temperature since its gravity became stable: "
          "gas that has left does not come back. While gravity is not found stable it refuses: the remaining "
          "extract would ferment in the bottle, which can burst.\n\n"
          "Without a batch the daemon is not needed; that the beer is finished is then your statement.",
      .examples = {"gylekeeper carbonate left --co2 2.4 --sugar glucose-monohydrate",
                   "gylekeeper carbonate left --keg --serving \"4 C\"",
                   "gylekeeper carbonate --original-gravity 1.043 --final-gravity 1.011 --warmest \"20 C\" "
                   "--volume \"11 L\""},
      .run = [o](const CommonOptions& common) {
        return o->batch ? of_batch(*o, common) : of_numbers(*o, common);
      }};
}

}  // namespace gyle
