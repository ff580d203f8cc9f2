#include <fmt/format.h>

#include "answer_lines.h"
#include "verbs.h"

namespace gyle {

Exit run(const AcknowledgeOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.post(fmt::format("/v1/alerts/{}/acknowledge", options.alert), "application/json", "");
  });
}

}  // namespace gyle
