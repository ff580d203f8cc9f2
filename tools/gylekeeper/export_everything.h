#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "control_client.h"

namespace gyle {

// Writes all that the daemon knows into a folder, which is made when it is not there; what an earlier export
// left in it is written again. Each file is written under another name and renamed when it is whole.
//
//   manifest.json       every file with its rows or items, and `complete`: false while the others are written
//   batches.json        each batch with its description, notes, samples, alerts and amendments
//   yeasts.json         what each yeast did
//   calibrations.json   of every sensor that has one
//   watcher.json        the system alerts
//   batch-12/readings.csv, curve.csv, alerts.csv, notes.csv
//
// Returns the manifest. Errc::conflict: the folder holds something else; Errc::storage: it cannot be written;
// and the errors that the daemon reports.
Result<std::string> export_everything(const ControlClient& daemon, const std::filesystem::path& folder);

}  // namespace gyle
