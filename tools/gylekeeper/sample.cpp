#include "answer_lines.h"
#include "control/request_target.h"
#include "query_text.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {

Exit run(const SampleOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(time, time_query(options.time, TimeSense::past, daemon));
    const std::string query =
        query_text({{options.refractometer ? "refractometer" : "gravity", options.reading},
                    {"temperature", options.temperature},
                    {"calibrated_at", options.calibrated_at},
                    {"wort_correction", options.wort_correction},
                    {"time", time}});
    return daemon.post("/v1/batches/" + percent_encoded(options.batch) + "/samples" + query,
                       "application/json", "");
  });
}

}  // namespace gyle
