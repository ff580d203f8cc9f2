#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "fermentation/batch_trace.h"
#include "fermentation/view.h"
#include "fermentation/yeast_record.h"

namespace gyle {

// The state of a batch at its end, and what its yeast did.
struct BatchEnding {
  BatchView view;
  std::optional<YeastRun> run;
};

// As JSON, and back, exact to the last bit. A text of an older version that lacks a field is Errc::malformed;
// the caller makes the ending from the readings again.
std::string ending_json(const BatchEnding& ending);
Result<BatchEnding> parse_ending(std::string_view json);

// The course of a batch, likewise.
std::string course_json(const BatchTrace& course);
Result<BatchTrace> parse_course(std::string_view json);

}  // namespace gyle
