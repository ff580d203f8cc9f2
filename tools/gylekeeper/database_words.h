#pragma once

#include <string>

#include "storage/backup.h"

namespace gyle {

// "12 batches, 86400 readings, 31 alerts and 9 notes in 12.4 MB".
std::string summary_words(const DatabaseSummary& summary);

// The same as members of a JSON object.
std::string summary_json(const DatabaseSummary& summary);

}  // namespace gyle
