#include <fmt/format.h>

#include "config/batch_file.h"
#include "config/batch_validation.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "hold_text.h"
#include "time_option.h"
#include "tool_settings.h"
#include "units/quantity_text.h"
#include "verbs.h"

namespace gyle {
namespace {

struct Options {
  std::string vessel;
  std::optional<std::filesystem::path> batch_file;
  std::optional<std::string> pitched;
  // What BATCH.toml would say.
  std::string name;
  std::optional<std::string> original_gravity;
  std::optional<std::string> volume;
  std::string yeast;
  std::optional<std::string> attenuation;  // "0.73:0.79"
  std::optional<std::string> yeast_range;  // "16 Cel:22 Cel"
  std::vector<std::string> holds;          // hold_text.h
};

// The batch that the options describe; when it was pitched is filled in by the caller.
Result<BatchSpec> described(const Options& options) {
  if (options.batch_file) return load_batch(*options.batch_file);
  BatchSpec batch;
  batch.name = options.name;
  batch.yeast.name = options.yeast;
  if (options.original_gravity) {
    BOOST_OUTCOME_TRY(gravity, parse_gravity(*options.original_gravity));
    batch.original_gravity = gravity;
  }
  if (options.volume) {
    BOOST_OUTCOME_TRY(litres, parse_volume_litres(*options.volume));
    batch.volume_l = litres;
  }
  if (options.attenuation) {
    BOOST_OUTCOME_TRY(band, parse_range(*options.attenuation, "0.73:0.79"));
    BOOST_OUTCOME_TRY(low, parse_number(band.low));
    BOOST_OUTCOME_TRY(high, parse_number(band.high));
    batch.yeast.attenuation_low = low;
    batch.yeast.attenuation_high = high;
  }
  if (options.yeast_range) {
    BOOST_OUTCOME_TRY(range, parse_range(*options.yeast_range, "\"16 Cel:22 Cel\""));
    BOOST_OUTCOME_TRY(low, parse_temperature(range.low));
    BOOST_OUTCOME_TRY(high, parse_temperature(range.high));
    batch.yeast.temperature_low = low;
    batch.yeast.temperature_high = high;
  }
  for (const std::string& text : options.holds) {
    BOOST_OUTCOME_TRY(hold, parse_hold(text));
    batch.plan.push_back(hold);
  }
  return batch;
}

Exit run(const Options& options, const CommonOptions& common) {
  if (!options.batch_file && options.name.empty()) {
    return complain(
        Error{Errc::missing, "say what the batch is called with --name, or describe it with --batch"},
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
      return complain(Error{Errc::missing,
                            "the daemon does not know what time it is: it runs with "
                            "--clock-follows-messages, and no message has come since it started; say when "
                            "the yeast went in, as --pitched \"2026-03-01 18:30\""});
    }
    batch.value().pitched = *answer.value().now;
  }
  if (const auto valid = validate(batch.value()); !valid) return complain(valid.error(), Exit::wrong_use);

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
  return Exit::ok;
}

}  // namespace

Verb pitch_verb() {
  const auto o = std::make_shared<Options>();
  return {.name = "pitch",
          .about = "start a batch in a vessel",
          .arguments = {{.name = "--vessel",
                         .place = &o->vessel,
                         .about = "the vessel, as the configuration calls it",
                         .required = true},
                        {.name = "--batch",
                         .place = &o->batch_file,
                         .about = "BATCH.toml that describes the batch",
                         .offer = Offer::files},
                        {.name = "--pitched",
                         .place = &o->pitched,
                         .about = "when the yeast went in, as \"2026-03-01 18:30\", 18:30 today or \"sat "
                                  "18:30\", the last one; now when not given"},
                        {.name = "--name",
                         .place = &o->name,
                         .about = "what the batch is called",
                         .excludes = {"--batch"}},
                        {.name = "--original-gravity",
                         .place = &o->original_gravity,
                         .about = "1.048, or \"12 P\"; inferred if not given",
                         .excludes = {"--batch"}},
                        {.name = "--volume",
                         .place = &o->volume,
                         .about = "\"20 L\" or \"5.5 gal\"",
                         .excludes = {"--batch"}},
                        {.name = "--yeast",
                         .place = &o->yeast,
                         .about = "what the yeast is called",
                         .excludes = {"--batch"}},
                        {.name = "--attenuation",
                         .place = &o->attenuation,
                         .about = "expected apparent attenuation, low:high, as 0.73:0.79",
                         .excludes = {"--batch"}},
                        {.name = "--yeast-range",
                         .place = &o->yeast_range,
                         .about = "temperatures the yeast is happy in, low:high, as \"16 Cel:22 Cel\"",
                         .excludes = {"--batch"}},
                        {.name = "--hold",
                         .place = &o->holds,
                         .about = "a temperature of the plan and what ends it, once for each hold in order: "
                                  "\"18 Cel until 75 %\" (of the expected attenuation), \"20 Cel until "
                                  "1.014\", \"12 Cel for 7 d\", \"22 Cel until final gravity\"",
                         .excludes = {"--batch"}}},
          .notes = kTimes,
          .examples = {"gylekeeper pitch --vessel left --batch harbour-amber.toml",
                       "gylekeeper pitch --vessel left --name \"Harbour amber\" --original-gravity 1.048 "
                       "--hold \"18 Cel until 75 %\" --hold \"22 Cel until final gravity\""},
          .run = [o](const CommonOptions& common) { return run(*o, common); }};
}

}  // namespace gyle
