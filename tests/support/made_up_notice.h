#pragma once

#include "base/rfc3339.h"
#include "notices/notice.h"

namespace gyle::test {

inline Notice made_up_notice() {
  Notice notice;
  notice.id = "7-12-raised";
  notice.time = parse_rfc3339("2026-03-01T18:30:00Z").value();
  notice.kind = "stuck";
  notice.severity = Severity::warning;
  notice.state = "raised";
  notice.vessel = "cellar";
  notice.batch = "Amber no. 12";
  notice.title = "Amber no. 12: the fall has stopped";
  notice.text = "Amber no. 12 has stood at 1.024 for 52 hours.";
  notice.evidence_json = R"({"gravity_sg":1.024,"still_hours":52})";
  return notice;
}

}  // namespace gyle::test
