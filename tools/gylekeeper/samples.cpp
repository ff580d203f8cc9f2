#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

struct Options {
  std::string batch;
};

Exit run(const Options& options, const CommonOptions& common) {
  return show_pages(common, "/v1/batches/" + percent_encoded(options.batch) + "/samples?limit=1000");
}

}  // namespace

Verb samples_verb() {
  const auto o = std::make_shared<Options>();
  return {.name = "samples",
          .about = "the gravities of a batch that were measured by hand, each with its number",
          .arguments = {{.name = "batch",
                         .place = &o->batch,
                         .about = kWhichBatch,
                         .required = true,
                         .offer = Offer::batches}},
          .examples = {"gylekeeper samples left"},
          .run = [o](const CommonOptions& common) { return run(*o, common); }};
}

}  // namespace gyle
