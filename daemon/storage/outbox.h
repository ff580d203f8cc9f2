#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "fermentation/decision.h"
#include "storage/database.h"

namespace gyle {

// A decision as it was told to the brewer. Its identity is (batch, kind, sensor, step, occurrence, state).
struct StoredAlert {
  std::int64_t id;
  std::int64_t batch;
  std::string batch_name;
  std::string vessel;
  Decision decision;  // without evidence, which is below
  std::string severity;
  std::string sentence;
  std::string evidence;  // a JSON object
};

// One alert that one channel has still to deliver.
struct Pending {
  std::int64_t id;
  int attempts;  // failed so far
  StoredAlert alert;
};

// What was decided, and what of it the channels still have to deliver. Both are stored together: after a
// restart nothing is said twice and nothing is left unsaid. Errc::storage: nothing has happened, call again.
class Outbox {
 public:
  explicit Outbox(Database& database) : database_(&database) {}

  // Stores the decision and one delivery for each channel, in one transaction, unless its identity is there
  // already. Returns whether it was new. Errc::not_found when there is no such batch.
  Result<bool> record(std::int64_t batch, const Decision& decision, std::string_view sentence,
                      std::string_view evidence_json, std::span<const std::string> channels);

  // What `channel` should try now, oldest first, at most `limit`. An alert waits for earlier ones about the
  // same thing (batch, kind, sensor, step), so that a withdrawal never overtakes what it withdraws.
  Result<std::vector<Pending>> due(std::string_view channel, Time now, int limit = 100);

  // The earliest time at which due() of any of the channels returns something; empty when all is delivered.
  Result<std::optional<Time>> next_due();

  Status delivered(std::int64_t pending_id, Time time);
  Status failed(std::int64_t pending_id, Time next_attempt, std::string_view error);

  Result<std::vector<StoredAlert>> alerts(std::int64_t batch);  // in the order in which they were decided

 private:
  Database* database_;
};

}  // namespace gyle
