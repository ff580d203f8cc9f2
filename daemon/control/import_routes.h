#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// A past batch, imported from recorded readings:
//
//   POST /v1/imports/K/readings  (text/csv)   readings in the form of replay/readings_csv.h, in any number of
//                                             parts, in order of time; the sensor named in the file does
//                                             not matter. K is a name that the sender chooses, 8 to 64 letters,
//                                             digits, - and _
//   POST /v1/imports/K/batch?vessel=V&packaged=T  (application/toml)
//                                             makes their batch; 201. No alert is sent.
//
// Sending the same again changes nothing: an interrupted import is simply started again. A K that already
// belongs to a batch is 409.
std::span<const Route> import_routes();

}  // namespace gyle
