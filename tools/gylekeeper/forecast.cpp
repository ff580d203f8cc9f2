#include "answer_lines.h"
#include "control/request_target.h"
#include "query_text.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {

Exit run(const ForecastOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(from, time_query(options.from, TimeSense::future, daemon));
    BOOST_OUTCOME_TRY(ready_by, time_query(options.ready_by, TimeSense::future, daemon));
    const std::string query = query_text({{"hold", options.hold}, {"from", from}, {"ready_by", ready_by}});
    return daemon.get("/v1/batches/" + percent_encoded(options.batch) + "/forecast" + query);
  });
}

}  // namespace gyle
