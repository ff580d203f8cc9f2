#include <fmt/format.h>

#include "answer_lines.h"
#include "verbs.h"

namespace gyle {

Exit run(const RefusalsOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get(fmt::format("/v1/refusals?limit={}", options.limit));
  });
}

}  // namespace gyle
