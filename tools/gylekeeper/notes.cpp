#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

struct Options {
  std::string batch;
};

Exit run(const Options& options, const CommonOptions& common) {
  return show_pages(common, "/v1/batches/" + percent_encoded(options.batch) + "/notes?limit=1000");
}

}  // namespace

Verb notes_verb() {
  const auto o = std::make_shared<Options>();
  return {.name = "notes",
          .about = "what was written about a batch",
          .arguments = {{.name = "batch",
                         .place = &o->batch,
                         .about = kWhichBatch,
                         .required = true,
                         .offer = Offer::batches}},
          .examples = {"gylekeeper notes left"},
          .run = [o](const CommonOptions& common) { return run(*o, common); }};
}

}  // namespace gyle
