#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb samples_verb() {
  return batch_lines_verb("samples",
                          "the gravities of a batch that were measured by hand, each with its number",
                          "samples?limit=1000");
}

}  // namespace gyle
