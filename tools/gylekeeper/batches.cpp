#include "answer_lines.h"
#include "control_client.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct BatchesOptions {
  std::optional<std::string> name;
  std::optional<std::string> yeast;
  std::optional<std::string> since;
  std::optional<std::string> until;
};

Exit run_batches(const BatchesOptions& options, const CommonOptions& common) {
  return show_pages(common, [&](const ControlClient& daemon) -> Result<std::string> {
    BOOST_OUTCOME_TRY(since, time_query(options.since, TimeSense::past, daemon));
    BOOST_OUTCOME_TRY(until, time_query(options.until, TimeSense::past, daemon));
    return "/v1/batches" + query_text({{"name", options.name},
                                       {"yeast", options.yeast},
                                       {"since", since},
                                       {"until", until},
                                       {"limit", "200"}});
  });
}

}  // namespace

Verb batches_verb() {
  const auto o = std::make_shared<BatchesOptions>();
  return {.name = "batches",
          .about = "all batches so far, or those that match",
          .arguments = {{.name = "--name",
                         .place = &o->name,
                         .about = "only those with this text in their name, whatever its case"},
                        {.name = "--yeast", .place = &o->yeast, .about = "likewise, of the yeast"},
                        {.name = "--since",
                         .place = &o->since,
                         .about = "only those pitched from then on, as 2026-01-01"},
                        {.name = "--until", .place = &o->until, .about = "only those pitched before then"}},
          .notes = kTimes,
          .examples = {"gylekeeper batches", "gylekeeper batches --yeast \"house ale\" --since 2026-01-01"},
          .run = [o](const CommonOptions& common) { return run_batches(*o, common); }};
}

}  // namespace gyle
