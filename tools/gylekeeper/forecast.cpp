#include "answer_lines.h"
#include "control/request_target.h"
#include "control_client.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct ForecastOptions {
  std::string batch;
  std::optional<std::string> hold;
  std::optional<std::string> from;
  std::optional<std::string> ready_by;
};

Exit run_forecast(const ForecastOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(from, time_query(options.from, TimeSense::future, daemon));
    BOOST_OUTCOME_TRY(ready_by, time_query(options.ready_by, TimeSense::future, daemon));
    const std::string query = query_text({{"hold", options.hold}, {"from", from}, {"ready_by", ready_by}});
    return daemon.get("/v1/batches/" + percent_encoded(options.batch) + "/forecast" + query);
  });
}

}  // namespace

Verb forecast_verb() {
  const auto o = std::make_shared<ForecastOptions>();
  return {
      .name = "forecast",
      .about = "when a batch will be ready, and what another hold would change",
      .arguments =
          {batch_argument(&o->batch),
           {.name = "--hold",
            .place = &o->hold,
            .about = "also forecast a hold at this temperature, as \"20 C\"",
            .value = "TEMPERATURE"},
           {.name = "--from",
            .place = &o->from,
            .about = "when that hold begins, as 18:00, the next, or \"2026-03-12 18:00\"; now when not given",
            .needs = {"--hold"}},
           {.name = "--ready-by",
            .place = &o->ready_by,
            .about = "the chance that it can be packaged by then, as \"sat 18:00\", the next"}},
      .notes = kTimes,
      .examples = {"gylekeeper forecast left --hold \"20 C\" --ready-by \"sat 18:00\""},
      .run = [o](const CommonOptions& common) { return run_forecast(*o, common); }};
}

}  // namespace gyle
