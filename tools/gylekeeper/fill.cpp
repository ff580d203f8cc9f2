#include "answer_lines.h"
#include "control/request_target.h"
#include "control_client.h"
#include "exit_code.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct FillOptions {
  std::string batch;
  std::optional<std::string> container;
  std::optional<std::string> count;
  std::optional<std::string> each;
  std::optional<std::string> gas;
  std::optional<std::string> storage;
  std::optional<std::string> time;
  std::optional<std::string> take_back;
};

Exit run_fill(const FillOptions& options, const CommonOptions& common) {
  if (options.take_back.has_value() == options.container.has_value() ||
      options.container.has_value() != options.count.has_value()) {
    return complain(Error{Errc::missing, "say what and how many, as bottles 22, or --take-back NUMBER"},
                    Exit::wrong_use);
  }
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    const std::string address = "/v1/batches/" + percent_encoded(options.batch) + "/fills";
    if (options.take_back) {
      return daemon.post(address + "/" + percent_encoded(*options.take_back) + "?take_back=yes",
                         "application/json", "");
    }
    BOOST_OUTCOME_TRY(time, time_query(options.time, TimeSense::past, daemon));
    return daemon.post(address + query_text({{"container", options.container},
                                             {"count", options.count},
                                             {"each", options.each},
                                             {"gas", options.gas},
                                             {"storage", options.storage},
                                             {"time", time}}),
                       "application/json", "");
  });
}

}  // namespace

Verb fill_verb() {
  const auto o = std::make_shared<FillOptions>();
  return {
      .name = "fill",
      .about = "enter what a packaged beer was filled into, and learn when it should have its gas",
      .arguments = {batch_argument(&o->batch),
                    {.name = "container",
                     .place = &o->container,
                     .about = "what it was filled into",
                     .choices = {"bottles", "keg"}},
                    {.name = "count", .place = &o->count, .about = "how many"},
                    {.name = "--each",
                     .place = &o->each,
                     .about = "what each took, as \"330 mL\"; of bottles \"500 mL\" when not given"},
                    {.name = "--gas",
                     .place = &o->gas,
                     .about = "where it comes from; bottles are primed and kegs on a cylinder when not given",
                     .choices = {"priming", "cylinder"}},
                    {.name = "--storage",
                     .place = &o->storage,
                     .about = "where they are kept until then; \"20 C\" when not given"},
                    {.name = "--at",
                     .place = &o->time,
                     .about = "when, as 10:00 today; the time of packaging when not given"},
                    {.name = "--take-back",
                     .place = &o->take_back,
                     .about = "the fill with this number (gylekeeper fills) does not count"}},
      .notes =
          std::string("When a beer has its gas follows from time and temperature by a rule of thumb; the "
                      "interval says how far beers differ. Try one bottle before you trust the rest. A "
                      "beer can go into several kinds of containers: enter each.\n\n") +
          kTimes,
      .examples = {"gylekeeper fill \"Amber no. 12\" bottles 22",
                   "gylekeeper fill \"Amber no. 12\" bottles 30 --each \"330 mL\" --storage \"18 C\"",
                   "gylekeeper fill \"Amber no. 12\" keg 1 --each \"11 L\"",
                   "gylekeeper fill \"Amber no. 12\" --take-back 1"},
      .run = [o](const CommonOptions& common) { return run_fill(*o, common); }};
}

}  // namespace gyle
