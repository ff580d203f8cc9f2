#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "fermentation/view.h"
#include "fermentation/yeast_record.h"

namespace gyle {

// How a batch stood at its end, and what its yeast did.
struct BatchEnding {
  BatchView view;
  std::optional<YeastRun> run;
};

// As JSON, and back to the last bit. What an older version wrote, without something that is known now, is
// Errc::malformed: it is to be made from the readings again.
std::string ending_json(const BatchEnding& ending);
Result<BatchEnding> parse_ending(std::string_view json);

}  // namespace gyle
