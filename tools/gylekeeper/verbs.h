#pragma once

#include <vector>

#include "verb.h"

namespace gyle {

Verb brewday_verb();
Verb preboil_verb();
Verb efficiency_verb();
Verb convert_verb();
Verb pitch_verb();
Verb status_verb();
Verb explain_verb();
Verb fill_verb();
Verb fills_verb();
Verb forecast_verb();
Verb sample_verb();
Verb samples_verb();
Verb note_verb();
Verb notes_verb();
Verb addition_verb();
Verb additions_verb();
Verb amend_verb();
Verb amendments_verb();
Verb undo_verb();
Verb alerts_verb();
Verb acknowledge_verb();
Verb snooze_verb();
Verb set_point_verb();
Verb channels_verb();
Verb alert_test_verb();
Verb sensors_verb();
Verb forget_verb();
Verb calibrate_verb();
Verb refusals_verb();
Verb carbonate_verb();
Verb package_verb();
Verb batches_verb();
Verb yeasts_verb();
Verb curve_verb();
Verb export_verb();
Verb report_verb();
Verb import_verb();
Verb backup_verb();
Verb restore_verb();
Verb check_verb();
Verb salvage_verb();
Verb thin_verb();
Verb replay_verb();
Verb rehearse_verb();
Verb listen_verb();

// Every verb, in the order of a batch's life: the order in which help and manual show them.
std::vector<Verb> all_verbs();

}  // namespace gyle
