#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb additions_verb() {
  return batch_lines_verb("additions", "what was added to a batch, each with its number", "additions");
}

}  // namespace gyle
