#include "control/sensor_reference.h"

#include <fmt/format.h>

#include "base/text.h"

namespace gyle {

Result<SensorRecord> find_sensor(const Cellar& cellar, const std::string& id) {
  if (auto exact = cellar.sensor(id)) return std::move(*exact);
  constexpr std::size_t kLookedAt = 1000;
  std::optional<SensorRecord> alike;
  std::size_t count = 0;
  for (SensorRecord& one : cellar.sensors({}, kLookedAt)) {
    if (folded(one.sensor) != folded(id)) continue;
    alike = std::move(one);
    ++count;
  }
  if (count == 1) return std::move(*alike);
  return fail(Errc::not_found, fmt::format("no sensor called \"{}\" has been heard", id));
}

}  // namespace gyle
