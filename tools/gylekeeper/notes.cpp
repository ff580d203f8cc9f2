#include "answer_lines.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "verbs.h"

namespace gyle {
namespace {

struct Options {
  std::string batch;
};

// One answer for each page.
Exit run(const Options& options, const CommonOptions& common) {
  const std::string address = "/v1/batches/" + percent_encoded(options.batch) + "/notes?limit=1000";
  std::optional<std::string> cursor;
  do {
    const std::string target = cursor ? address + "&cursor=" + percent_encoded(*cursor) : address;
    const Exit shown = show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
      BOOST_OUTCOME_TRY(body, daemon.get(target));
      BOOST_OUTCOME_TRY(next, read_next(body));
      cursor = next;
      return body;
    });
    if (shown != Exit::ok) return shown;
  } while (cursor);
  return Exit::ok;
}

}  // namespace

Verb notes_verb() {
  const auto o = std::make_shared<Options>();
  return {.name = "notes",
          .about = "what was written about a batch",
          .arguments = {{.name = "batch",
                         .place = &o->batch,
                         .about = kWhichBatch,
                         .required = true,
                         .offer = Offer::batches}},
          .examples = {"gylekeeper notes left"},
          .run = [o](const CommonOptions& common) { return run(*o, common); }};
}

}  // namespace gyle
