#include "answer_lines.h"
#include "control/request_target.h"
#include "query_text.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {

Exit run(const NoteOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(time, time_query(options.time, TimeSense::past, daemon));
    return daemon.post(
        "/v1/batches/" + percent_encoded(options.batch) + "/notes" + query_text({{"time", time}}),
        "text/plain; charset=utf-8", options.text);
  });
}

}  // namespace gyle
