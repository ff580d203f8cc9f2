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

// Turns messages into rows of the journal, each durable before the broker is told that it was received. A
// message that the database will never take is refused, with the reason, and kept as that.
//   threads  the link's; it has a connection to the database of its own
class Receiver {
 public:
  // On the link's thread.
  struct Handlers {
    std::function<void(Received&&)> received;          // after each message
    std::function<void(const std::string&)> database;  // why it cannot be written; empty: it can be again
    std::function<void()> unstorable;                  // a message was refused for that
  };

  // `clock` is absent but in a rehearsal. `readings_per_hour`: of one sensor, at most.
  Receiver(Database database, int refusals_kept, int readings_per_hour, std::vector<Source> sources,
           MessageClock* clock, Handlers handlers);

  // A connection has been made; to be called before its first message.
  void connected(bool session_present) { unrecorded_connection_ = session_present; }

  // Errc::storage, unavailable: not kept, to be called again with the same message.
  Status take(const Message& message);

 private:
  Result<std::vector<JournalRow>> record(const Message& message, const Decoded& decoded);
  Status keep_waiting(const Error& error);  // reports it once
  Status refuse(const Message& message, const std::string& why);

  Database database_;
  Journal journal_;
  const std::vector<Source> sources_;
  MessageClock* clock_;
  const Handlers handlers_;
  std::optional<bool> unrecorded_connection_;  // the journal has still to be told of it
  const int readings_per_hour_;
  std::optional<Admission> admission_;
  bool complained_ = false;
};

}  // namespace gyle
