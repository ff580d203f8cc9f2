#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "app/admission.h"
#include "clock/message_clock.h"
#include "ingest/source.h"
#include "storage/journal.h"

namespace gyle {

// A message that is in the journal, on its way to the judgement.
struct Received {
  std::vector<JournalRow> rows;  // what of it was new
  std::size_t refused = 0;
  bool backlog = false;  // it had waited at the broker
  Time received;
};

// Turns messages into rows of the journal, each durable before it is acknowledged to the broker. A message
// that the database can never store is recorded as refused, with the reason.
//   threads  the link's; it has its own connection to the database
class Receiver {
 public:
  // On the link's thread.
  struct Handlers {
    std::function<void(Received&&)> received;          // after each message
    std::function<void(const std::string&)> database;  // why it cannot be written; empty: it can again
    std::function<void()> unstorable;                  // a message was refused as never storable
    // The time of a message that shows that the machine's clock is behind; absent: none does any more.
    std::function<void(std::optional<Time>)> clock;
  };

  // `clock` only in a rehearsal. `readings_per_hour`: of one sensor, at most.
  Receiver(Database database, int refusals_kept, int readings_per_hour, std::vector<Source> sources,
           MessageClock* clock, Handlers handlers);

  // A connection has been made; to be called before its first message.
  void connected(bool session_present) { unrecorded_connection_ = session_present; }

  // Errc::storage, unavailable: not kept, to be called again with the same message.
  Status take(const Message& message);

 private:
  Result<std::vector<JournalRow>> record(const Message& message, const Decoded& decoded);
  Status keep_waiting(const Error& error);  // reports it once
  void report_clock();
  Status refuse(const Message& message, const std::string& why);

  Database database_;
  Journal journal_;
  const std::vector<Source> sources_;
  MessageClock* clock_;
  const Handlers handlers_;
  std::optional<bool> unrecorded_connection_;  // not recorded in the journal yet
  const int readings_per_hour_;
  std::optional<Admission> admission_;
  bool complained_ = false;
  std::optional<Time> clock_reported_;
};

}  // namespace gyle
