#pragma once

#include <span>
#include <string>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

struct DigestEntry {
  std::string vessel;
  BatchSpec batch;
  BatchView view;
};

// The daily look at all batches: a heading, then two lines for each. The first has its name, its stage,
// its gravity with half the 80 % interval, its temperature; the second what comes next, when and how sure,
// and the faults of its sensors. Lines end with "\n", but for the last.
std::string digest_text(std::span<const DigestEntry> entries, Time now, const DisplaySettings& display);

}  // namespace gyle
