#pragma once

#include <span>
#include <string>
#include <string_view>

#include "control/cellar.h"

namespace gyle {

// The batch a brewer means: by its number as "#5", which is never anything else; by its vessel (the batch
// that is in it); by its number alone; or by its name, an open batch before a packaged one, a newer before an
// older. Names are matched regardless of case where that leaves one.
//   errors  Errc::not_found, with the names there are; Errc::conflict: names that differ in case only
Result<BatchRecord> find_batch(std::span<const BatchRecord> batches, std::string_view reference);

// The sensor with this id, or the only one whose id differs from it in case alone, looked for among the first
// 1,000, which those in vessels are. Errc::not_found.
Result<SensorRecord> find_sensor(const Cellar& cellar, const std::string& id);

}  // namespace gyle
