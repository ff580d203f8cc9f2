#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

struct ListedBatch {
  std::int64_t id;
  std::string vessel;
  const BatchSpec* spec;
  const BatchView* view;
  std::optional<Time> packaged;
};

// A table of batches with a heading: number, name, vessel, when pitched and packaged, original and last gravity,
// apparent attenuation, yeast.
std::vector<std::string> batch_table(std::span<const ListedBatch> batches, const DisplaySettings& display);

}  // namespace gyle
