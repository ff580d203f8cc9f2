#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb amendments_verb() {
  return batch_lines_verb("amendments", "what was put right of a batch, with what it was", "amendments");
}

}  // namespace gyle
