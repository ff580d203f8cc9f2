#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "storage/database.h"

namespace gyle {

struct NewBatch {
  std::string vessel;
  std::string name;
  Time pitched;
  std::string spec;  // TOML, kept as it is
};

struct StoredBatch : NewBatch {
  std::int64_t id;
  std::optional<Time> packaged;  // absent: the batch is open, it is in its vessel
  // It is evaluated with the calibrations up to this one; absent: with the newest.
  std::optional<std::int64_t> last_calibration;
};

// The final state of a batch.
struct StoredEnding {
  std::int64_t after_reading = 0;  // the readings that it used come after this one
  std::string text;                // reports/ending_json.h
};

// The batches, from pitch to package. Errc::storage: nothing has happened, the call may be made again.
class BatchStore {
 public:
  explicit BatchStore(Database& database) : database_(&database) {}

  // Returns the id of the new batch, which uses the readings of `sensors` (storage/watch_log.h).
  // Errc::conflict when the vessel has an open batch, or an open batch of that name is in another vessel; the
  // message names it.
  Result<std::int64_t> pitch(const NewBatch& batch, const std::vector<std::string>& sensors = {});

  // Ends a batch: it uses no reading after `newest_reading`, and `ending`, if it is known, is kept.
  // Errc::not_found; Errc::conflict when it has ended already; Errc::out_of_range when `time` is before its
  // pitch.
  Status package(std::int64_t id, Time time,
                 std::int64_t newest_reading = std::numeric_limits<std::int64_t>::max(),
                 const std::optional<StoredEnding>& ending = {});

  // Of a packaged batch; absent until it has been kept, and after something was amended.
  Result<std::optional<StoredEnding>> ending(std::int64_t id);
  Status keep(std::int64_t id, const StoredEnding& ending);

  // Its course, if that was kept because its readings were thinned (storage/journal_thinning.h).
  Result<std::optional<std::string>> course(std::int64_t id);

  Result<std::vector<StoredBatch>> all();   // in order of id
  Result<std::vector<StoredBatch>> open();  // in order of id

  // By id ("12") or name; among equal names the newest. Errc::not_found otherwise.
  Result<StoredBatch> find(std::string_view id_or_name);

 private:
  Database* database_;
};

}  // namespace gyle
