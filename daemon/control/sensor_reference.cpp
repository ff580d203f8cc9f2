#include "control/sensor_reference.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"

namespace gyle {

Result<SensorRecord> find_sensor(std::span<const SensorRecord> sensors, std::string_view id) {
  const SensorRecord* alike = nullptr;
  std::size_t count = 0;
  for (const SensorRecord& one : sensors) {
    if (one.sensor == id) return one;
    if (folded(one.sensor) != folded(id)) continue;
    alike = &one;
    ++count;
  }
  if (count == 1) return *alike;
  return fail(Errc::not_found, fmt::format("no sensor called \"{}\" has been heard", id));
}

}  // namespace gyle
