#include "answer_lines.h"
#include "control/request_target.h"
#include "query_text.h"
#include "verbs.h"

namespace gyle {

Exit run(const ForecastOptions& options, const CommonOptions& common) {
  const std::string query =
      query_text({{"hold", options.hold}, {"from", options.from}, {"ready_by", options.ready_by}});
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get("/v1/batches/" + percent_encoded(options.batch) + "/forecast" + query);
  });
}

}  // namespace gyle
