#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {

Exit run(const ExplainOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get("/v1/batches/" + percent_encoded(options.batch) + "/explanation");
  });
}

}  // namespace gyle
