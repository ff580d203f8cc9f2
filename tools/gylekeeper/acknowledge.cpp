#include <fmt/format.h>

#include "answer_lines.h"
#include "verbs.h"

namespace gyle {
namespace {

struct AcknowledgeOptions {
  std::string alert;
};

Exit run_acknowledge(const AcknowledgeOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.post(fmt::format("/v1/alerts/{}/acknowledge", options.alert), "application/json", "");
  });
}

}  // namespace

Verb acknowledge_verb() {
  const auto o = std::make_shared<AcknowledgeOptions>();
  return {.name = "acknowledge",
          .about = "stop the reminders of an alert",
          .arguments = {{.name = "alert",
                         .place = &o->alert,
                         .about = "its number, as gylekeeper alerts --open shows it",
                         .required = true,
                         .check = whole_number(1, UINT64_MAX)}},
          .examples = {"gylekeeper acknowledge 12"},
          .run = [o](const CommonOptions& common) { return run_acknowledge(*o, common); }};
}

}  // namespace gyle
