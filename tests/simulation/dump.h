#pragma once

#include <filesystem>

#include "base/result.h"
#include "simulation/scoring.h"
#include "simulation/simulated_batch.h"

namespace gyle::simulation {

// Writes one batch for a person or for `gylekeeper replay`: BATCH.toml, READINGS.csv, truth.csv (hourly: the
// truth, and the truth as the hydrometer would show it), and what the core said: said.txt, curve.csv,
// forecasts.csv.
Status dump(const SimulatedBatch& batch, const Verdicts& verdicts, const std::filesystem::path& folder);

}  // namespace gyle::simulation
