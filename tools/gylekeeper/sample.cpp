#include "answer_lines.h"
#include "control/request_target.h"
#include "control_client.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct SampleOptions {
  std::string batch;
  std::string reading;  // a gravity; of a refractometer degrees Brix or Plato
  std::optional<std::string> time;
  std::optional<std::string> temperature;
  std::optional<std::string> calibrated_at;
  bool refractometer = false;
  bool wort = false;
  std::optional<std::string> wort_correction;
};

Exit run_sample(const SampleOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(time, time_query(options.time, TimeSense::past, daemon));
    const std::string query =
        query_text({{options.refractometer ? "refractometer" : "gravity", options.reading},
                    {"temperature", options.temperature},
                    {"calibrated_at", options.calibrated_at},
                    {"wort", options.wort ? std::optional<std::string>("true") : std::nullopt},
                    {"wort_correction", options.wort_correction},
                    {"time", time}});
    return daemon.post("/v1/batches/" + percent_encoded(options.batch) + "/samples" + query,
                       "application/json", "");
  });
}

}  // namespace

Verb sample_verb() {
  const auto o = std::make_shared<SampleOptions>();
  return {
      .name = "sample",
      .about = "enter a gravity that was measured by hand",
      .arguments =
          {batch_argument(&o->batch),
           {.name = "gravity",
            .place = &o->reading,
            .about = "1.012 or \"3.1 P\"; with --refractometer degrees Brix or Plato, as 6.2",
            .required = true},
           {.name = "--at",
            .place = &o->time,
            .about = "when it was taken, as 18:00 today or \"thu 18:00\", the last one; now when not given"},
           {.name = "--temperature",
            .place = &o->temperature,
            .about = "of the sample, as \"24 C\"; the reading is then corrected"},
           calibrated_at_argument(&o->calibrated_at),
           {.name = "--refractometer",
            .place = &o->refractometer,
            .about = "measured with a refractometer: corrected for the alcohol, by the original gravity",
            .excludes = {"--temperature"}},
           {.name = "--wort",
            .place = &o->wort,
            .about = "it has not begun to ferment: no alcohol to correct for",
            .needs = {"--refractometer"}},
           wort_correction_argument(&o->wort_correction)},
      .notes = kTimes,
      .examples = {"gylekeeper sample left 1.012 --temperature \"24 C\" --at 18:00",
                   "gylekeeper sample left 1.049 --temperature \"77 F\" --calibrated-at \"60 F\"",
                   "gylekeeper sample left 6.2 --refractometer",
                   "gylekeeper sample left 12.4 --refractometer --wort"},
      .run = [o](const CommonOptions& common) { return run_sample(*o, common); }};
}

}  // namespace gyle
