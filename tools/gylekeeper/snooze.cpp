#include <fmt/format.h>

#include "answer_lines.h"
#include "base/rfc3339.h"
#include "query_text.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {

Exit run(const SnoozeOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(until, time_option(options.until, TimeSense::future, daemon));
    return daemon.post(
        fmt::format("/v1/alerts/{}/snooze{}", options.alert, query_text({{"until", format_rfc3339(until)}})),
        "application/json", "");
  });
}

}  // namespace gyle
