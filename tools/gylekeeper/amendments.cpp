#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

struct Options {
  std::string batch;
};

Exit run(const Options& options, const CommonOptions& common) {
  return show_answer(common, [&](const ControlClient& daemon) {
    return daemon.get("/v1/batches/" + percent_encoded(options.batch) + "/amendments");
  });
}

}  // namespace

Verb amendments_verb() {
  const auto o = std::make_shared<Options>();
  return {.name = "amendments",
          .about = "what was put right of a batch, with what it was",
          .arguments = {{.name = "batch",
                         .place = &o->batch,
                         .about = kWhichBatch,
                         .required = true,
                         .offer = Offer::batches}},
          .examples = {"gylekeeper amendments left"},
          .run = [o](const CommonOptions& common) { return run(*o, common); }};
}

}  // namespace gyle
