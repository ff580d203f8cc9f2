#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "fermentation/decision.h"
#include "wording/display.h"
#include "wording/watcher_kind.h"

namespace gyle {

// What the watcher says of itself. The evidence each kind carries ([x] = only when known), named as in
// fermentation/decision.h:
//   watcher_started    [batches_watched]
//   watcher_restarted  last_alive_time started_time [batches_watched]
//   disk_low           free_byte [days_left: at today's rate]
//   broker_lost        lost_time; withdrawn: lost_time back_time
//   clock_jumped       jump_seconds: positive when the clock was put forward
//   digest, test       none
// Only disk_low and broker_lost are withdrawn. The first sentence is at most kFirstSentence columns.
std::string watcher_sentence(WatcherKind kind, Decision::State state, const Evidence& evidence,
                             const DisplaySettings& display);

// For a subject line, at most kTitleColumns: "Gylekeeper: the disk is nearly full".
std::string watcher_title(WatcherKind kind, Decision::State state);

Severity severity_of(WatcherKind kind);

// By its word; nothing when the watcher says no such thing of itself.
std::optional<Severity> watcher_severity(std::string_view kind);

}  // namespace gyle
