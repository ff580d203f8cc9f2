#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb notes_verb() {
  return batch_lines_verb("notes", "the notes about a batch, each with its number", "notes?limit=1000");
}

}  // namespace gyle
