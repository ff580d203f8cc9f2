#pragma once

#include "control/cellar.h"
#include "control/http_message.h"
#include "wording/display.h"

namespace gyle {

// Answers one request to the control socket.
//
//   GET  /v1/status                                the daemon, its clock (the epoch while it follows messages
//   and has
//                                                  had none) and time zone; the batches in the vessels
//   GET  /v1/batches                               all batches, packaged ones included
//   POST /v1/batches?vessel=V   (application/toml) pitches the batch that the body describes; 201
//   GET  /v1/batches/B                             B: vessel, name or number (control/batch_reference.h)
//   POST /v1/batches/B/package?time=T              T: RFC 3339; without it, now
//   GET  /v1/batches/B/curve                       CSV (reports/curve_csv.h)
//   GET  /v1/batches/B/alerts                      what the brewer was told, oldest first
//   GET  /v1/batches/B/explanation                 why it stands where it stands (wording/explanation.h)
//   GET  /v1/batches/B/forecast?hold=C&from=T&ready_by=T
//                                                  what is to be expected (wording/outlook_lines.h); with a
//                                                  hold ("22 Cel") also if it were kept from then, or now, on
//   POST /v1/batches/B/samples?gravity=G&time=T    a gravity measured by hand, at T or now; 201. More of its
//                                                  query: control/sample_request.h
//   .../v1/alerts, .../v1/channels                 control/alert_routes.h
//   GET  /v1/sensors                               each with its newest readings and its health
//   GET  /v1/refusals?limit=N                      what was refused and why; N up to 1000, without it 20
//
// Bodies are JSON (control/view_json.h). Where people read, the words are made here, so that every tool shows
// the same: `lines` of a batch (wording/status_lines.h), `line` of an alert with its local time. Failures are
// problem details (RFC 9457), `detail` being a sentence for the brewer.
//
// A batch whose description cannot be read has `unreadable` (why) in place of `spec` and `view`; it can be
// packaged and its alerts read, all else of it is 409.
HttpResponse respond(const HttpRequest& request, Cellar& cellar, const DisplaySettings& display);

}  // namespace gyle
