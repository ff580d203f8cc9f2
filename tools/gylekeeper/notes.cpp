#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb notes_verb() { return batch_lines_verb("notes", "what was written about a batch", "notes?limit=1000"); }

}  // namespace gyle
