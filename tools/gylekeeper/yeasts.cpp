#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

struct YeastsOptions {
  std::string yeast;
};

Exit run_yeasts(const YeastsOptions& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get("/v1/yeasts" + (options.yeast.empty() ? "" : "/" + percent_encoded(options.yeast)));
  });
}

}  // namespace

Verb yeasts_verb() {
  const auto o = std::make_shared<YeastsOptions>();
  return {.name = "yeasts",
          .about = "what each yeast did so far, or one of them batch by batch, and what to expect of it",
          .arguments = {{.name = "yeast",
                         .place = &o->yeast,
                         .about = "its name; spaces and the case of letters do not matter"}},
          .notes =
              "A batch counts when it was packaged at a final gravity that had been found stable. What is "
              "expected of the next is the interval in which its apparent attenuation lies with 80 % "
              "certainty; with one to three batches it leans to the 70 to 80 % of most yeasts. `gylekeeper "
              "pitch` takes it when the yeast is named and no --attenuation is given.",
          .examples = {"gylekeeper yeasts", "gylekeeper yeasts \"House ale\""},
          .run = [o](const CommonOptions& common) { return run_yeasts(*o, common); }};
}

}  // namespace gyle
