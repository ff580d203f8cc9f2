#include <fmt/format.h>

#include "answer_lines.h"
#include "verbs.h"

namespace gyle {
namespace {

struct RefusalsOptions {
  std::uint64_t limit = 20;
};

Exit run_refusals(const RefusalsOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get(fmt::format("/v1/refusals?limit={}", options.limit));
  });
}

}  // namespace

Verb refusals_verb() {
  const auto o = std::make_shared<RefusalsOptions>();
  return {
      .name = "refusals",
      .about = "which messages were refused, and why",
      .arguments = {{.name = "--limit",
                     .place = &o->limit,
                     .about = "how many, newest first, up to 1000; 20 when not given",
                     .check = whole_number(0, 1000)}},
      .notes =
          "A message that the broker withholds because it is too large does not arrive, and is not listed.",
      .examples = {"gylekeeper refusals --limit 5"},
      .run = [o](const CommonOptions& common) { return run_refusals(*o, common); }};
}

}  // namespace gyle
