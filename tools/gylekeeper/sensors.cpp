#include "answer_lines.h"
#include "verbs.h"

namespace gyle {
namespace {

Exit run_sensors(const CommonOptions& common) { return show_pages(common, "/v1/sensors"); }

}  // namespace

Verb sensors_verb() {
  return {.name = "sensors",
          .about = "each sensor: its last message, its readings, its battery, what is wrong with it",
          .examples = {"gylekeeper sensors"},
          .run = run_sensors};
}

}  // namespace gyle
