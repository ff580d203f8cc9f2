#include "verbs.h"

namespace gyle {

std::vector<Verb> all_verbs() {
  return {
      pitch_verb(),     status_verb(),   explain_verb(),    forecast_verb(),    sample_verb(),
      samples_verb(), calibrate_verb(),
      note_verb(),      notes_verb(),    alerts_verb(),     acknowledge_verb(), snooze_verb(),
      set_point_verb(), channels_verb(), alert_test_verb(), sensors_verb(),     refusals_verb(),
      carbonate_verb(), package_verb(),   curve_verb(),    export_verb(),     report_verb(),      replay_verb(),
      rehearse_verb(),  listen_verb(),
  };
}

}  // namespace gyle
