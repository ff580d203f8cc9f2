#include "answer_lines.h"
#include "control/request_target.h"
#include "verbs.h"

namespace gyle {

Verb forget_verb() {
  const auto sensor = std::make_shared<std::string>();
  return {.name = "forget",
          .about = "take a sensor off the list until it sends again",
          .arguments = {{.name = "sensor",
                         .place = sensor.get(),
                         .about = "its id, as gylekeeper sensors shows it",
                         .required = true}},
          .notes = "Its readings are kept. A sensor that an open batch uses cannot be forgotten.",
          .examples = {"gylekeeper forget probe-7"},
          .run = [sensor](const CommonOptions& common) {
            return show_answer(common, [&](const ControlClient& daemon) {
              return daemon.remove("/v1/sensors/" + percent_encoded(*sensor));
            });
          }};
}

}  // namespace gyle
