#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb explain_verb() {
  return batch_lines_verb("explain", "why a batch is judged to be where it is", "explanation");
}

}  // namespace gyle
