#include <fmt/format.h>

#include "base/text.h"
#include "batch_options.h"
#include "brewday/brew_plan.h"
#include "config/batch_file.h"
#include "config/recipe_file.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "time_option.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {
namespace {

struct PitchOptions {
  std::string vessel;
  std::optional<std::filesystem::path> batch_file;
  std::optional<std::filesystem::path> recipe;
  std::optional<std::string> pitched;
  BatchOptions batch;  // overrides the file
};

// The batch as the files and the options describe it; without BATCH.toml, when it was pitched is filled in by
// the caller. Of a recipe its expected original gravity, volume, yeast and plan carry over.
Result<BatchSpec> described(const PitchOptions& options) {
  BatchSpec batch;
  if (options.batch_file) {
    BOOST_OUTCOME_TRY(written, load_batch(*options.batch_file));
    batch = written;
  } else if (options.recipe) {
    BOOST_OUTCOME_TRY(recipe, load_recipe(*options.recipe));
    BOOST_OUTCOME_TRY(plan, plan_brew(recipe));
    batch = batch_of(recipe, plan);
  }
  BOOST_OUTCOME_TRYV(apply(options.batch, batch));
  return batch;
}

Exit run_pitch(const PitchOptions& options, const CommonOptions& common) {
  if (!options.batch_file && !options.recipe && options.batch.name.empty()) {
    return complain(
        Error{Errc::missing,
              "say what the batch is called with --name, or describe it with --batch or --recipe"},
        Exit::wrong_use);
  }
  auto batch = described(options);
  if (!batch) return complain(batch.error(), Exit::wrong_use);
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const ControlClient daemon(socket.value());

  if (options.pitched) {
    const auto time = time_option(*options.pitched, TimeSense::past, daemon);
    if (!time) {
      return time.error().code == Errc::unavailable ? complain(time.error())
                                                    : complain(time.error(), Exit::wrong_use);
    }
    batch.value().pitched = time.value();
  } else if (!options.batch_file) {
    // "Now" by the daemon's clock, which in a rehearsal is not ours.
    const auto answer = ask_daemon(daemon);
    if (!answer) return complain(answer.error());
    if (!answer.value().now) {
      return complain(Error{Errc::conflict,
                            "the daemon does not know what time it is: it runs with "
                            "--clock-follows-messages, and no message has come since it started; say when "
                            "the yeast went in, as --pitched \"2026-03-01 18:30\""});
    }
    batch.value().pitched = *answer.value().now;
  }
  if (const auto valid = validate_options(batch.value()); !valid)
    return complain(valid.error(), Exit::wrong_use);

  const auto body = daemon.post("/v1/batches?vessel=" + percent_encoded(options.vessel), "application/toml",
                                format_batch(batch.value()));
  if (!body) return complain(body.error());
  if (common.json) {
    fmt::print("{}", body.value());
    return Exit::ok;
  }
  const auto pitched = read_batch(body.value());
  if (!pitched) return complain(pitched.error());
  fmt::print("\"{}\" is in {}, as batch {}.\n", pitched.value().name, pitched.value().vessel,
             pitched.value().id);
  if (options.recipe && !options.batch.original_gravity && !options.batch.refractometer) {
    fmt::print(
        "Its original gravity is the recipe's estimate; enter the measured one with gylekeeper amend {} "
        "--original-gravity.\n",
        pitched.value().id);
  }
  for (const std::string& line : {pitched.value().band, pitched.value().caution}) {
    if (!line.empty()) fmt::print("{}\n", displayable(line, 400));
  }
  return Exit::ok;
}

}  // namespace

Verb pitch_verb() {
  const auto o = std::make_shared<PitchOptions>();
  std::vector<Argument> arguments{
      {.name = "--vessel",
       .place = &o->vessel,
       .about = "the vessel, as the configuration calls it",
       .required = true},
      {.name = "--batch",
       .place = &o->batch_file,
       .about = "BATCH.toml that describes the batch; other options override it",
       .offer = Offer::files},
      {.name = "--recipe",
       .place = &o->recipe,
       .about =
           "RECIPE.toml it was brewed by: gives name, volume, yeast, plan and, unless measured, the expected "
           "original gravity",
       .offer = Offer::files,
       .excludes = {"--batch"}},
      {.name = "--pitched",
       .place = &o->pitched,
       .about = "when the yeast went in, as \"2026-03-01 18:30\", 18:30 today or "
                "\"sat 18:30\", the last one; now when not given",
       .value = "TIME"}};
  for (Argument& argument : batch_arguments(o->batch)) arguments.push_back(std::move(argument));
  return {.name = "pitch",
          .about = "start a batch in a vessel",
          .arguments = std::move(arguments),
          .notes = kTimes,
          .examples = {"gylekeeper pitch --vessel left --batch amber-12.toml",
                       "gylekeeper pitch --vessel left --recipe amber-12-recipe.toml --original-gravity "
                       "1.043 --volume \"11.5 L\"",
                       "gylekeeper pitch --vessel left --name \"Amber no. 12\" --original-gravity 1.043 "
                       "--hold \"17 C until 75 % of the fall\" --hold \"20 C until final gravity\""},
          .run = [o](const CommonOptions& common) { return run_pitch(*o, common); }};
}

}  // namespace gyle
