#include "batch_lines.h"
#include "verbs.h"

namespace gyle {

Verb fills_verb() {
  return batch_lines_verb("fills", "what a batch was filled into, and when it should have its gas", "fills");
}

}  // namespace gyle
