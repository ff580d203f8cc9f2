#include "answer_lines.h"
#include "control/request_target.h"
#include "control_client.h"
#include "exit_code.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct AdditionOptions {
  std::string batch;
  std::optional<std::string> what;
  std::optional<std::string> amount;
  std::optional<std::string> sugar_share;
  std::optional<std::string> time;
  std::optional<std::string> take_back;
};

Exit run_addition(const AdditionOptions& options, const CommonOptions& common) {
  if (options.take_back.has_value() == options.what.has_value() ||
      options.what.has_value() != options.amount.has_value()) {
    return complain(
        Error{Errc::missing, "say what was added and how much, as sugar \"250 g\", or --take-back NUMBER"},
        Exit::wrong_use);
  }
  return show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
    const std::string address = "/v1/batches/" + percent_encoded(options.batch) + "/additions";
    if (options.take_back) {
      return daemon.post(address + "/" + percent_encoded(*options.take_back) + "?take_back=yes",
                         "application/json", "");
    }
    BOOST_OUTCOME_TRY(time, time_query(options.time, TimeSense::past, daemon));
    return daemon.post(address + query_text({{"what", options.what},
                                             {"amount", options.amount},
                                             {"sugar_share", options.sugar_share},
                                             {"time", time}}),
                       "application/json", "");
  });
}

}  // namespace

Verb addition_verb() {
  const auto o = std::make_shared<AdditionOptions>();
  return {
      .name = "addition",
      .about = "enter what was added to a fermenting beer: sugar, fruit, water or dry hops",
      .arguments = {batch_argument(&o->batch),
                    {.name = "what",
                     .place = &o->what,
                     .about = "what was added",
                     .choices = {"sugar", "fruit", "water", "dry-hops"}},
                    {.name = "amount", .place = &o->amount, .about = "as \"250 g\", of water \"2 L\""},
                    {.name = "--sugar-share",
                     .place = &o->sugar_share,
                     .about = "of the mass of fruit, as \"10 %\""},
                    {.name = "--at", .place = &o->time, .about = "when, as 18:00 today; now when not given"},
                    {.name = "--take-back",
                     .place = &o->take_back,
                     .about = "the addition with this number (gylekeeper additions) does not count"}},
      .notes = std::string("Original gravity and expected final gravity move with it, by its amount and the "
                           "volume of the batch. The batch is re-evaluated, and an alert about a jump of the "
                           "hydrometer at that time is explained by it. gylekeeper undo takes it back.\n\n") +
               kTimes,
      .examples = {"gylekeeper addition left sugar \"250 g\" --at 18:00",
                   "gylekeeper addition left fruit \"2 kg\" --sugar-share \"10 %\"",
                   "gylekeeper addition left dry-hops \"60 g\"", "gylekeeper addition left --take-back 1"},
      .run = [o](const CommonOptions& common) { return run_addition(*o, common); }};
}

}  // namespace gyle
