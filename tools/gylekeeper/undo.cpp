#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

struct UndoOptions {
  std::string batch;
  std::optional<std::string> amendment;  // its number
};

Exit run_undo(const UndoOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    const std::string which = options.amendment ? "/" + *options.amendment : "";
    return daemon.post("/v1/batches/" + percent_encoded(options.batch) + "/undo" + which, "application/json",
                       "");
  });
}

}  // namespace

Verb undo_verb() {
  const auto o = std::make_shared<UndoOptions>();
  return {.name = "undo",
          .about = "take back a correction of a batch",
          .arguments = {batch_argument(&o->batch),
                        {.name = "amendment",
                         .place = &o->amendment,
                         .about = "its number, as gylekeeper amendments shows it; the last when not given",
                         .check = whole_number(1, UINT64_MAX)}},
          .examples = {"gylekeeper undo left", "gylekeeper undo left 3"},
          .run = [o](const CommonOptions& common) { return run_undo(*o, common); }};
}

}  // namespace gyle
