#include "app/batch_picture.h"

#include <algorithm>
#include <vector>

#include "fermentation/hindsight.h"
#include "reports/curve_svg.h"

namespace gyle {

std::string batch_picture(const Cellar& cellar, std::int64_t batch, const DisplaySettings& display) {
  const std::vector<BatchRecord> batches = cellar.batches();
  const auto record = std::find_if(batches.begin(), batches.end(),
                                   [batch](const BatchRecord& one) { return one.id == batch; });
  if (record == batches.end() || !record->unreadable.empty()) return "";
  const auto trace = cellar.trace(batch);
  if (!trace || trace.value()->curve().empty()) return "";
  std::vector<CurveMark> marks;
  if (const auto reported = cellar.alerts(batch)) {
    for (const ReportedAlert& alert : reported.value()) {
      const Decision& d = alert.decision;
      marks.push_back({d.time, d.kind, d.state, d.step});
    }
  }
  return curve_svg(record->spec, in_hindsight(trace.value()->curve(), record->view), record->view.forecast,
                   marks, display, {trace.value()->samples(), trace.value()->ambient()});
}

}  // namespace gyle
