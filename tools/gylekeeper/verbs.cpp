#include "verbs.h"

namespace gyle {

std::vector<Verb> all_verbs() {
  // clang-format off
  return {
      brewday_verb(),
      preboil_verb(),
      efficiency_verb(),
      convert_verb(),
      pitch_verb(),
      status_verb(),
      explain_verb(),
      forecast_verb(),
      sample_verb(),
      samples_verb(),
      note_verb(),
      notes_verb(),
      addition_verb(),
      additions_verb(),
      amend_verb(),
      amendments_verb(),
      undo_verb(),
      alerts_verb(),
      acknowledge_verb(),
      snooze_verb(),
      set_point_verb(),
      channels_verb(),
      alert_test_verb(),
      sensors_verb(),
      forget_verb(),
      calibrate_verb(),
      refusals_verb(),
      carbonate_verb(),
      package_verb(),
      fill_verb(),
      fills_verb(),
      batches_verb(),
      yeasts_verb(),
      curve_verb(),
      export_verb(),
      report_verb(),
      import_verb(),
      backup_verb(),
      restore_verb(),
      check_verb(),
      thin_verb(),
      salvage_verb(),
      replay_verb(),
      rehearse_verb(),
      listen_verb(),
  };
  // clang-format on
}

}  // namespace gyle
