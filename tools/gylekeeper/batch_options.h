#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "fermentation/batch.h"
#include "verb.h"

namespace gyle {

// What BATCH.toml says of a batch, as options.
struct BatchOptions {
  std::string name;
  std::optional<std::string> original_gravity;
  std::optional<std::string> refractometer;  // the wort's reading, in its place
  std::optional<std::string> wort_correction;
  std::optional<std::string> volume;
  std::optional<std::string> yeast;
  std::optional<std::string> attenuation;  // "0.73:0.79"
  std::optional<std::string> yeast_range;  // "15 C:21 C"
  std::vector<std::string> holds;          // hold_text.h; not empty: the whole plan

  bool any() const;
};

std::vector<Argument> batch_arguments(BatchOptions& options);

// Puts into the batch what is given, and leaves the rest of it. Errc::malformed or out_of_range names the
// option.
Status apply(const BatchOptions& options, BatchSpec& batch);

// validate() (config/batch_validation.h), with options in place of the keys of a batch file.
Status validate_options(const BatchSpec& batch);

}  // namespace gyle
