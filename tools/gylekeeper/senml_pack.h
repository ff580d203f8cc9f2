#pragma once

#include <string>

#include "rehearsal/sensor_model.h"

namespace gyle {

// The message as a sensor would send it: a SenML pack whose base name is the sensor's and whose times are
// absolute. Readings without a SenML name of their own (hand samples) are left out.
//   source  RFC 8428
std::string senml_pack(const RehearsedMessage& message);

}  // namespace gyle
