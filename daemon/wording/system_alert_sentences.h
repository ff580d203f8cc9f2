#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "fermentation/decision.h"
#include "wording/display.h"
#include "wording/system_alert_kind.h"

namespace gyle {

// The texts of system alerts. The evidence of each kind is described where it is decided (app/self_watch.h);
// digest and test have none. The first sentence is at most kFirstSentence columns.
std::string system_alert_sentence(SystemAlertKind kind, Decision::State state, const Evidence& evidence,
                                  const DisplaySettings& display);

// For a subject line, at most kTitleColumns: "Gylekeeper: the disk is nearly full".
std::string system_alert_title(SystemAlertKind kind, Decision::State state);

Severity severity_of(SystemAlertKind kind);

}  // namespace gyle
