#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {
namespace {

constexpr const char* kWhatItIs =
    "A set point is published only for a vessel that has a set_point in the configuration, and only within "
    "its limits. Gylekeeper switches nothing: the thermostat must keep limits of its own, and an independent "
    "thermal cut-out must be able to stop a heater when everything else fails. Mains wiring is for licensed "
    "people, by your local codes.\n\n"
    "While a temperature waits for your yes nothing is sent, so you may set the thermostat by hand instead.";

struct SetPointOptions {
  std::string batch;
  bool confirm = false;
};

Exit run_set_point(const SetPointOptions& options, const CommonOptions& common) {
  if (options.batch.empty() && options.confirm) {
    return complain({Errc::missing, "say which batch the yes is for: gylekeeper set-point left --confirm"},
                    Exit::wrong_use);
  }
  return show_answer(common, [&](const ControlClient& daemon) {
    if (options.batch.empty()) return daemon.get("/v1/set-points");
    const std::string address = "/v1/batches/" + percent_encoded(options.batch) + "/set-point";
    return options.confirm ? daemon.post(address + "/confirm", "application/json", "") : daemon.get(address);
  });
}

}  // namespace

Verb set_point_verb() {
  const auto o = std::make_shared<SetPointOptions>();
  Argument batch = batch_argument(&o->batch, Given::at_choice);
  batch.about += "; every batch in a vessel when not given";
  return {
      .name = "set-point",
      .about = "the set points of the thermostats, and your yes to one that waits for it",
      .arguments = {std::move(batch),
                    {.name = "--confirm", .place = &o->confirm, .about = "agree to the next temperature"}},
      .notes = kWhatItIs,
      .examples = {"gylekeeper set-point", "gylekeeper set-point left --confirm"},
      .run = [o](const CommonOptions& common) { return run_set_point(*o, common); }};
}

}  // namespace gyle
