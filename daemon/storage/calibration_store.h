#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "calibration/calibration_curves.h"
#include "storage/database.h"

namespace gyle {

struct StoredCalibration {
  std::int64_t id;
  Time made;
  std::optional<InclinationFit> fit;  // absent: from then on the sensor was not calibrated
};

// The calibrations of sensors, all kept. Errc::storage: nothing has happened, call again.
class CalibrationStore {
 public:
  explicit CalibrationStore(Database& database) : database_(&database) {}

  // Returns its id. Without a fit the sensor is no longer calibrated. Marks the open batches that use or have
  // used it to be re-evaluated (storage/judging_log.h).
  Result<std::int64_t> add(const std::string& sensor, Time made, const std::optional<InclinationFit>& fit);

  Result<std::vector<StoredCalibration>> of(const std::string& sensor);  // newest first

  // The newest of each sensor; with an id, of those up to that one. Bit for bit as they were fitted.
  Result<CalibrationCurves> in_force(std::optional<std::int64_t> up_to = {});

 private:
  Database* database_;
};

}  // namespace gyle
