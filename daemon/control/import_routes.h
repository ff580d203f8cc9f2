#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// A batch that was over before the daemon knew of it, from recorded readings:
//
//   POST /v1/imports/K/readings  (text/csv)   readings in the form of replay/readings_csv.h, in any number of
//                                             parts, in order of time; whose they are in the file does not
//                                             matter. K is a name that the sender chooses, 8 to 64 letters,
//                                             digits, - and _
//   POST /v1/imports/K/batch?vessel=V&packaged=T  (application/toml)
//                                             the batch that they are of; 201. Nobody is alerted.
//
// What is sent again changes nothing, so that an import that was broken off is simply begun again; a K that a
// batch has already is 409.
std::span<const Route> import_routes();

}  // namespace gyle
