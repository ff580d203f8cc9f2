#pragma once

#include <map>
#include <optional>
#include <string>

#include "base/result.h"
#include "control/call.h"
#include "units/gravity.h"
#include "wording/display.h"

namespace gyle {

// A gravity measured by hand, at 20 degC, and how it follows from what the instrument showed: a sentence, ""
// when the gravity is what was read.
struct MeasuredGravity {
  SpecificGravity gravity;
  std::string how;
};

// The gravity that the query of a sample gives:
//   gravity=1.012 (or "3.1 P")  with temperature="24 Cel" of the sample, and calibrated_at="20 Cel" of the
//                               hydrometer; without a temperature it is taken as it is
//   refractometer=6.2           degrees Brix or Plato, with wort_correction=1.04; needs the original gravity,
//                               unless wort=true: the wort has not begun to ferment
//   errors  Errc::malformed, missing or out_of_range, with what would be right
Result<MeasuredGravity> sample_gravity(const std::map<std::string, std::string, std::less<>>& query,
                                       std::optional<SpecificGravity> original,
                                       const DisplaySettings& display);

// GET and POST of /v1/batches/B/samples; see control/routes.h.
HttpResponse list_samples(const Call& call, const BatchRecord& batch);
HttpResponse take_sample(const Call& call, const BatchRecord& before);

}  // namespace gyle
