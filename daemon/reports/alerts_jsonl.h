#pragma once

#include <string>

#include "fermentation/decision.h"

namespace gyle {

// An alert as one JSON object on one line, its line break (LF) included: time, kind, severity, state, batch,
// step (where the kind has one), text, evidence. Numbers of the evidence that are not finite are left out;
// bytes that are not UTF-8 become U+FFFD.
//   source  RFC 8259
std::string alert_json_line(const Decision& decision, const std::string& batch, const std::string& text);

}  // namespace gyle
