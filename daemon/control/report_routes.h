#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// A batch as files to keep:
//
//   GET /v1/batches/B/report?with=N,N&align=A
//                                        its report (reports/report_html.h), compared with up to five others
//                                        given by number; day 0 is the pitch, or with A = start the start of
//                                        fermentation
//   GET /v1/batches/B/readings.csv       raw readings (reports/journal_csv.h)
//   GET /v1/batches/B/curve.csv          the curve with units in its header (reports/curve_csv.h)
//   GET /v1/batches/B/alerts.csv         its alerts (reports/alerts_csv.h)
//   GET /v1/batches/B/notes.csv          what the brewer wrote (reports/notes_csv.h)
//
// CSV comes in pages below 1 MB, each with its header; the address of the rest is in Link,
// rel="next" (RFC 8288).
std::span<const Route> report_routes();

}  // namespace gyle
