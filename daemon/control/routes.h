#pragma once

#include <vector>

#include "control/call.h"
#include "control/cellar.h"
#include "control/http_message.h"
#include "wording/display.h"

namespace gyle {

// Answers one request to the API. openapi.json describes the same for machines; a test holds it to the
// answers.
//
//   GET  /v1/status                                the daemon, its clock (the epoch while it follows messages
//                                                  and has had none) and time zone; the batches in the
//                                                  vessels
//   GET  /v1/cellar                                all that a view of the cellar shows, in one answer: the daemon, the
//                                                  units, each batch in a vessel with its open alerts, its set point
//                                                  and its last days, each vessel with its sensors, the batches
//                                                  packaged last, the open system alerts
//   GET  /v1/batches?name=T&yeast=T&since=T&until=T
//                                                  all batches by their pitch, packaged ones included, or
//                                                  those whose name and yeast have these texts in them,
//                                                  pitched from and before these moments; paged
//   POST /v1/batches?vessel=V   (application/toml) pitches the batch that the body describes; 201
//   GET  /v1/batches/B                             B: vessel, name or number (control/batch_reference.h)
//   POST /v1/batches/B/package?time=T              T: RFC 3339; without it, now
//   GET  /v1/batches/B/curve                       CSV (reports/curve_csv.h), up to 10000 rows; the
//                                                  address of the rest is in Link, rel="next" (RFC 8288)
//   GET  /v1/batches/B/series?from=T&to=T&points=N the curve for a chart (control/series_json.h); N from 50
//                                                  to 2000, 600 by default
//   GET  /v1/batches/B/alerts                      the alerts of the batch, oldest first; paged
//   GET  /v1/batches/B/notes                       what the brewer wrote, by the time it is about; paged
//   POST /v1/batches/B/notes?time=T   (text/plain) a note (control/note_text.h) about T, or now; 201
//   GET  /v1/batches/B/amendments                  what was corrected, with the old values
//   GET, POST /v1/batches/B/description            the batch as TOML; replaces it
//   POST /v1/batches/B/samples/N?gravity=G&time=T  replaces its gravity or time; ?take_back=yes: removes it
//   POST /v1/batches/B/notes/N?time=T (text/plain) the same for a note
//   POST /v1/batches/B/packaged?time=T             corrects when it was packaged; ?take_back=yes: it is still
//                                                  in its vessel
//   POST /v1/batches/B/undo, .../undo/N            takes back the last amendment, or that one
//   GET  /v1/batches/B/explanation                 the reasons for its state (wording/explanation.h)
//   GET  /v1/batches/B/forecast?hold=C&from=T&ready_by=T
//                                                  what is to be expected (wording/outlook_lines.h); with a
//                                                  hold ("22 Cel") also if it were kept from then, or now, on
//   POST /v1/batches/B/samples?gravity=G&time=T    a gravity measured by hand, at T or now; 201. More of its
//                                                  query: control/sample_request.h
//   GET  /v1/batches/B/samples                     those that count, each with its number; paged
//   GET  /v1/batches/B/packaging                   what it holds and needs; 409 until its gravity is found
//                                                  stable, unless override=true (control/packaging_request.h)
//   GET  /v1/batches/B/report, .../readings.csv, .../curve.csv, .../alerts.csv   control/report_routes.h
//   GET  /v1/batches/B/set-point                   what its vessel's thermostat is asked for, and what waits
//   POST /v1/batches/B/set-point/confirm?step=N    confirms it, if it follows hold N
//   GET  /v1/set-points                            the same of every batch in a vessel
//   GET  /v1/alerts                                the newest system alerts, oldest first; paged, towards
//                                                  the older
//   POST /v1/alerts/ID/acknowledge                 no more reminders of it
//   POST /v1/alerts/ID/snooze?until=T              none before T
//   GET  /v1/alerts/ID/fate?channel=C              its delivery on that channel
//   GET  /v1/channels                              each with what waits, what was refused, and why
//   POST /v1/channels/C/test                       202 with the `alert` to ask /fate about
//   POST /v1/channels/C/retry                      sends again what was refused
//   GET  /v1/sensors/S/calibration                 how its gravity follows from its inclination, and how it
//                                                  did before
//   POST /v1/sensors/S/calibration?samples=B&dry_run=true   (text/plain)
//                                                  fits a curve through points, one a line ("21.4 = 1.000"),
//                                                  and the hand samples of a batch; 201, or 200 for a dry run
//   POST /v1/sensors/S/calibration/set-aside       its gravity is again what it reports; 201
//   GET  /v1/sensors                               each with its newest readings and its health, those in
//                                                  vessels first; paged
//   DELETE /v1/sensors/S                           removes it from that list until it is heard again; 409
//                                                  while it is in an open batch
//   GET  /v1/yeasts, /v1/yeasts/Y                  the record of each yeast (control/yeast_routes.h)
//   POST /v1/imports/K/readings, .../batch         a past batch (control/import_routes.h)
//   GET  /v1/refusals?limit=N                      what was refused and why; N up to 1000, 20 by default
//   GET  /v1/check                                 what the daemon depends on, judged (wording/check_lines.h)
//   GET  /v1/display                               the brewer's units and time zone, and who is asking
//   GET  /v1/openapi.json                          this, for machines
//
// Bodies are JSON (control/view_json.h). A paged list takes ?limit=N&cursor=C, and answers with `next`, the
// cursor of the rest, when there is more. Sentences for people are made here, so that every tool shows the
// same: `lines` of a batch (wording/status_lines.h), `line` of an alert with its local time.
// Failures are problem details (RFC 9457), `detail` being a sentence for the brewer.
//
// A batch whose description cannot be read has `unreadable` (why) in place of `spec` and `view`; it can be
// packaged, its alerts and notes read and notes written; all other requests for it are 409.
HttpResponse respond(const HttpRequest& request, Cellar& cellar, const DisplaySettings& display);

// Everything that respond() answers.
std::vector<Route> routes();

}  // namespace gyle
