#include <fmt/format.h>

#include "answer_lines.h"
#include "verbs.h"

namespace gyle {
namespace {

struct Options {
  std::string alert;
};

Exit run(const Options& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.post(fmt::format("/v1/alerts/{}/acknowledge", options.alert), "application/json", "");
  });
}

}  // namespace

Verb acknowledge_verb() {
  const auto o = std::make_shared<Options>();
  return {.name = "acknowledge",
          .about = "stop the reminders of an alert",
          .arguments = {{.name = "alert",
                         .place = &o->alert,
                         .about = "its number, as gylekeeper alerts --open shows it",
                         .required = true,
                         .check = whole_number(1, UINT64_MAX)}},
          .examples = {"gylekeeper acknowledge 12"},
          .run = [o](const CommonOptions& common) { return run(*o, common); }};
}

}  // namespace gyle
