#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "ingest/decoder.h"
#include "ingest/message.h"
#include "storage/database.h"

namespace gyle {

// A reading in the journal. Ids grow in the order in which readings were accepted.
struct JournalRow {
  std::int64_t id;
  Time received;
  Reading reading;
};

// Which rows: those of `sensors`, received at or after `received_from`, after row `after_id` and up to
// `until_id`, at most `limit`.
struct RowQuery {
  std::vector<std::string> sensors;
  std::optional<Time> received_from;
  std::int64_t after_id = 0;
  std::int64_t limit = 100'000;
  std::int64_t until_id = std::numeric_limits<std::int64_t>::max();
};

struct RefusalRow {
  std::int64_t id;
  Time received;
  std::string reason;  // name(RefusalReason), perhaps of an older version
  std::string topic, sensor, detail, head;
};

struct JournalCounts {
  std::int64_t readings = 0;
  std::map<std::string, std::int64_t> refusals;  // by reason, all since the beginning
};

struct SensorHeard {
  std::string sensor;
  Time last;  // arrival of its newest reading
};

// The append-only record of every reading accepted and every message refused.
//   errors  Errc::storage: nothing of the call has happened, it may be made again; Errc::conflict: the same,
//           but it will always fail with these arguments
class Journal {
 public:
  // Of the refusals the newest `refusals_kept` are kept; all are counted.
  explicit Journal(Database& database, int refusals_kept = 10'000);
  Journal(Journal&&) noexcept;
  ~Journal();

  // The broker has accepted a connection. If it did not remember our session, it cannot deliver anything of
  // the earlier one again, and packet identifiers start again. To be called before the first message of every
  // connection, on the object that records its messages.
  Status connected(bool session_present);

  // Keeps what `decoded` says of `message`, in one transaction. Returns only the rows that are new, in order:
  // a reading with a time stamp that is there already, and a whole message that is only delivered again
  // (storage/repeated_message.h), change nothing. Topic, sensor and detail of a refusal are cut to 512 bytes.
  // Errc::out_of_range when a value is not finite.
  Result<std::vector<JournalRow>> record(const Message& message, const Decoded& decoded);

  // Calls `row` for each in order, holding one at a time; `row` must not use this connection to write.
  // Returns the id of the last one, or `after_id` when there is none: give it as the next `after_id`.
  Result<std::int64_t> rows(const RowQuery& query, const std::function<void(const JournalRow&)>& row);

  // The newest row of each quantity of each sensor, in order.
  Result<std::vector<JournalRow>> newest_of_each();

  // The sensor is not among newest_of_each() and sensors() until it is heard again. Its readings stay.
  Status forget(const std::string& sensor);

  Result<JournalCounts> counts();
  Result<std::vector<RefusalRow>> recent_refusals(int limit);  // newest first
  Result<std::vector<SensorHeard>> sensors();                  // by name

 private:
  struct Statements;
  std::unique_ptr<Statements> statements_;
};

}  // namespace gyle
