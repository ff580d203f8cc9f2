#pragma once

#include <span>
#include <string_view>

#include "control/cellar.h"

namespace gyle {

// The batch a brewer means: by its vessel (the batch that is in it), by its name, or by its number. An open
// batch goes before a packaged one, a newer before an older.
// Names are matched regardless of case where that leaves one.
//   errors  Errc::not_found, with what could have been said; Errc::conflict: names that differ in case only
Result<BatchRecord> find_batch(std::span<const BatchRecord> batches, std::string_view reference);

}  // namespace gyle
