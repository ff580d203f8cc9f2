#include "answer_lines.h"
#include "verbs.h"

namespace gyle {

Exit run(const SensorsOptions&, const CommonOptions& common) {
  return show_answer(common, [](const ControlClient& daemon) { return daemon.get("/v1/sensors"); });
}

}  // namespace gyle
