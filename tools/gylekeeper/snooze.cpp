#include <fmt/format.h>

#include "answer_lines.h"
#include "base/rfc3339.h"
#include "control_client.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct SnoozeOptions {
  std::string alert;
  std::string until;
};

Exit run_snooze(const SnoozeOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(until, time_option(options.until, TimeSense::future, daemon));
    return daemon.post(
        fmt::format("/v1/alerts/{}/snooze{}", options.alert, query_text({{"until", format_rfc3339(until)}})),
        "application/json", "");
  });
}

}  // namespace

Verb snooze_verb() {
  const auto o = std::make_shared<SnoozeOptions>();
  return {.name = "snooze",
          .about = "pause the reminders of an alert until a time",
          .arguments = {{.name = "alert",
                         .place = &o->alert,
                         .about = "its number, as gylekeeper alerts --open shows it",
                         .required = true,
                         .check = whole_number(1, UINT64_MAX)},
                        {.name = "--until",
                         .place = &o->until,
                         .about = "as 18:00, the next, or \"sat 9:00\"",
                         .required = true}},
          .notes = kTimes,
          .examples = {"gylekeeper snooze 12 --until \"sat 09:00\""},
          .run = [o](const CommonOptions& common) { return run_snooze(*o, common); }};
}

}  // namespace gyle
