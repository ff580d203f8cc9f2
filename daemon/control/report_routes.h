#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// What is to be kept of a batch, to read and to work on:
//
//   GET /v1/batches/B/report?with=N,N&align=A
//                                        its story (reports/report_html.h), with up to five others, by their
//                                        numbers, compared; day 0 is the pitch, or with A = start when each
//                                        started to ferment
//   GET /v1/batches/B/readings.csv       raw readings (reports/journal_csv.h)
//   GET /v1/batches/B/curve.csv          the curve with units in its header (reports/curve_csv.h)
//   GET /v1/batches/B/alerts.csv         what the brewer was told (reports/alerts_csv.h)
//   GET /v1/batches/B/notes.csv          what the brewer wrote (reports/notes_csv.h)
//
// CSV comes in pages below 1 MB, each with its header; where the rest is stands in Link, rel="next"
// (RFC 8288).
std::span<const Route> report_routes();

}  // namespace gyle
