#include "answer_lines.h"
#include "control/request_target.h"
#include "control_client.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct NoteOptions {
  std::string batch;
  std::string text;
  std::optional<std::string> time;
  bool tasting = false;
};

Exit run_note(const NoteOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(time, time_query(options.time, TimeSense::past, daemon));
    return daemon.post(
        "/v1/batches/" + percent_encoded(options.batch) + "/notes" +
            query_text({{"time", time},
                        {"tasting", options.tasting ? std::optional<std::string>("yes") : std::nullopt}}),
        "text/plain; charset=utf-8", options.text);
  });
}

}  // namespace

Verb note_verb() {
  const auto o = std::make_shared<NoteOptions>();
  return {
      .name = "note",
      .about = "write a note about a batch",
      .arguments = {batch_argument(&o->batch),
                    {.name = "text", .place = &o->text, .about = "up to 2000 characters", .required = true},
                    {.name = "--at",
                     .place = &o->time,
                     .about = "what time it is about, as 18:00 today; now when not given"},
                    {.name = "--tasting", .place = &o->tasting, .about = "it says how the beer tasted"}},
      .notes = kTimes,
      .examples = {"gylekeeper note left \"Dry hops, 40 g.\" --at 18:00",
                   "gylekeeper note \"Amber no. 12\" \"Bread crust, a little thin.\" --tasting"},
      .run = [o](const CommonOptions& common) { return run_note(*o, common); }};
}

}  // namespace gyle
