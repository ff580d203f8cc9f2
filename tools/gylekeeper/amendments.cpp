#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb amendments_verb() {
  return batch_lines_verb("amendments", "what was corrected of a batch, with the old entries", "amendments");
}

}  // namespace gyle
