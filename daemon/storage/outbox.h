#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/decision.h"
#include "storage/database.h"

namespace gyle {

// An alert for the brewer. Its identity is (batch, kind, sensor, step, occurrence, state).
struct NewAlert {
  std::optional<std::int64_t> batch;  // absent: it is about the watcher itself
  std::string kind;
  std::string sensor;
  int step = 0;        // of a plan; 0: about no hold
  int occurrence = 0;  // 0: the next that is free
  Decision::State state = Decision::State::raised;
  Time time;
  Severity severity = Severity::notice;
  std::string sentence;
  std::string evidence = "{}";  // a JSON object
};
NewAlert alert_of(std::int64_t batch, const Decision& decision, std::string sentence, std::string evidence);

struct StoredAlert : NewAlert {
  std::int64_t id = 0;
  std::string batch_name;
  std::string vessel;
  bool over = false;  // a raised one that has been withdrawn, or whose batch has left its vessel
  std::optional<Time> acknowledged;
  std::optional<Time> snoozed_until;
};

// How alerts share one message.
enum class Together {
  alone,        // one, in its own words
  quiet_hours,  // what waited for the end of the quiet hours
  sent_late,    // what could not be sent for a while
  at_once       // several at a time
};

// One message: what is sent, and sent again, as it was.
struct Parcel {
  std::int64_t number;
  Together together = Together::alone;
  Time packed;
};

// One alert that one channel has still to deliver.
struct Waiting {
  std::int64_t id;
  int reminder;  // 0: the alert itself, else the number of the reminder
  std::optional<Parcel> parcel;
  int attempts;  // failed so far
  Time next;     // not to be tried before
  StoredAlert alert;
};

// The delivery status of one channel.
struct ChannelRecord {
  std::string channel;
  std::int64_t waiting = 0;
  std::int64_t refused = 0;  // by the destination; parked until retry()
  std::optional<Time> delivered_last;
  std::string trouble;  // the newest answer to what waits or was refused
};

// The alerts, and which of them the channels still have to deliver. Both are stored together: after a restart
// no alert is sent twice and none is lost. Errc::storage: nothing has happened, call again.
class Outbox {
 public:
  explicit Outbox(Database& database) : database_(&database) {}

  // Stores the alert and one delivery for each channel, in one transaction, unless its identity is there
  // already. Returns its id; absent when it was not new. Errc::not_found when there is no such batch.
  Result<std::optional<std::int64_t>> record(const NewAlert& alert, std::span<const std::string> channels);
  // Deliveries of a reminder, each number once. Returns whether any was new.
  Result<bool> remind(std::int64_t alert, int number, std::span<const std::string> channels);

  Result<std::vector<Waiting>> waiting(std::string_view channel);  // in the order in which they were reported

  // From now on these go in one message: if the daemon stops between sending and recording it, exactly that
  // message is repeated.
  Result<Parcel> pack(std::span<const std::int64_t> deliveries, Together together, Time now);
  Status unpack(std::int64_t parcel);
  Status delivered(std::int64_t parcel, Time time, std::string_view answer);
  Status failed(std::int64_t parcel, Time next_attempt, std::string_view answer);
  Status refused(std::int64_t parcel, Time time, std::string_view answer);
  Status overtaken(std::span<const std::int64_t> deliveries, Time time);

  // Refused deliveries wait again. Returns how many.
  Result<std::int64_t> retry(std::string_view channel);
  // Deliveries of channels that no longer exist are given up.
  Status keep_only(std::span<const std::string> channels, Time time);

  Result<std::vector<ChannelRecord>> channels();
  // "waiting", "delivered", "refused" or "overtaken", and the last answer. Errc::not_found.
  struct Fate {
    std::string outcome;
    int attempts;
    std::string answer;
  };
  Result<Fate> fate(std::int64_t alert, std::string_view channel);

  Result<std::vector<StoredAlert>> alerts(std::int64_t batch);  // in the order in which they were reported
  // Likewise; of those with an id below `before`.
  Result<std::vector<StoredAlert>> system_alerts(int newest, std::optional<std::int64_t> before = {});
  Result<std::vector<StoredAlert>> open();     // raised and not over, of batches and of the watcher
  Result<StoredAlert> alert(std::int64_t id);  // Errc::not_found

  Status acknowledge(std::int64_t alert, Time time);
  Status snooze(std::int64_t alert, Time until);

 private:
  Database* database_;
};

}  // namespace gyle
