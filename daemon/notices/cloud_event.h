#pragma once

#include <string>

#include "notices/notice.h"

namespace gyle {

inline constexpr const char* kCloudEventType = "application/cloudevents+json";

// The notice as a CloudEvents 1.0 event in the JSON format, structured mode:
//   id, time      those of the notice; the same (source, id) at every attempt
//   source        /gylekeeper
//   type          gylekeeper.alert.<kind>
//   subject       <vessel>/<batch>, or the one of them that is set; absent without either
//   data          kind, severity, state, vessel, batch, sensor, title, text, evidence; empty ones are absent
// Invalid UTF-8 is replaced.
//   tests         unit/notices/cloud_event_test.cpp
std::string cloud_event(const Notice& notice);

}  // namespace gyle
