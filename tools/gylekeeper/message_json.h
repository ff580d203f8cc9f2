#pragma once

#include <span>
#include <string>

#include "ingest/message.h"
#include "ingest/source.h"

namespace gyle {

// A message and what is understood of it as one JSON object on a line: topic, received, retained, readings
// (sensor, time, quantity, value in canonical units), refusals (reason, detail).
std::string message_json(const Message& message, std::span<const Source> sources);

}  // namespace gyle
