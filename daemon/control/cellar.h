#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/batch.h"
#include "fermentation/batch_trace.h"
#include "fermentation/decision.h"
#include "fermentation/view.h"
#include "fermentation/what_if.h"
#include "ingest/refusal.h"
#include "series/reading.h"

namespace gyle {

// A batch as the daemon holds it.
struct BatchRecord {
  std::int64_t id = 0;  // never used twice
  std::string vessel;
  BatchSpec spec;
  std::optional<Time> packaged;  // absent while it is in the vessel
  BatchView view;                // of a packaged batch: as it stood then
  // Why its description cannot be read; it is then not watched, and only its name and its pitch are known.
  std::string unreadable;
};

// What the brewer has made of an alert.
struct AlertMark {
  std::int64_t id = 0;  // by which it is acknowledged
  bool over = false;    // it has been withdrawn, or its batch has left its vessel
  std::optional<Time> acknowledged;
  std::optional<Time> snoozed_until;
};

// Something the brewer was told, and the words it was told in.
struct ToldAlert {
  Decision decision;
  std::string text;
  AlertMark mark = {};
};

// Something that the watcher said of itself.
struct WatcherWord {
  Time time;
  std::string kind;
  Severity severity;
  Decision::State state;
  std::string text;
  AlertMark mark = {};
};

// A channel as it is configured, and how it has fared.
struct ChannelReport {
  std::string name;
  std::string kind;
  std::int64_t waiting = 0;
  std::int64_t refused = 0;  // by the far end; parked until it is asked to be sent again
  std::optional<Time> delivered_last;
  std::string trouble;  // the newest answer to what waits or was refused; empty: none
};

// What came of one alert on one channel.
struct Fate {
  std::string outcome;  // "waiting", "delivered", "refused" or "overtaken"
  int attempts = 0;     // failed so far
  std::string answer;   // of the far end
};

// What the brewer wrote about a batch.
struct Note {
  std::int64_t id = 0;
  Time time;  // that it is about
  std::string text;
};

// A sensor that has been heard, assigned to a vessel or not.
struct SensorRecord {
  std::string sensor;
  std::string vessel;           // empty: in none
  std::vector<Reading> newest;  // the last reading of each quantity
};

// A reading as it was accepted, and its number in the journal.
struct JournalEntry {
  std::int64_t number = 0;
  Time received;
  Reading reading;
};

struct RefusalSummary {
  std::vector<std::pair<RefusalReason, std::uint64_t>> counts;  // since the journal began
  std::vector<Refusal> newest;                                  // newest first
};

struct DaemonRecord {
  std::string version;
  std::string broker;  // as configured, without credentials
  bool broker_connected = false;
  Time now;  // by the daemon's clock
  Time running_since;
  std::uint64_t readings = 0;  // in the journal
  std::uint64_t refusals = 0;  // since the journal began
  std::optional<Time> last_message;
};

// What the control socket, and later the pages, may ask of the running daemon. Called on the daemon's thread;
// every call answers at once.
class Cellar {
 public:
  virtual ~Cellar() = default;

  virtual DaemonRecord daemon() const = 0;
  // In the order they were pitched, packaged ones included.
  virtual std::vector<BatchRecord> batches() const = 0;
  virtual std::vector<SensorRecord> sensors() const = 0;
  virtual RefusalSummary refusals(std::size_t at_most) const = 0;

  // Starts a batch. Errc::not_found: no such vessel is configured; Errc::conflict: a batch is in it.
  virtual Result<BatchRecord> pitch(const std::string& vessel, const BatchSpec& spec) = 0;
  // Ends a batch; without a time, now. Errc::conflict: it is packaged already, or the time is before its
  // pitch.
  virtual Result<BatchRecord> package(std::int64_t batch, std::optional<Time> time) = 0;
  // Its course as it was judged; Errc::not_found for an id that no batch has. It may grow until the next
  // call.
  virtual Result<std::shared_ptr<const BatchTrace>> trace(std::int64_t batch) const = 0;
  // Its raw readings in the order they were accepted: of those with a number above `after` the first
  // `at_most`.
  virtual Result<std::vector<JournalEntry>> readings(std::int64_t batch, std::int64_t after,
                                                     std::size_t at_most) const = 0;
  virtual Result<std::vector<ToldAlert>> alerts(std::int64_t batch) const = 0;
  // The newest ones, oldest first; of those said before the one with the id `before`, if it is given.
  virtual Result<std::vector<WatcherWord>> watcher_words(int newest,
                                                         std::optional<std::int64_t> before = {}) const = 0;
  // No reminders of it any more, or none before `until`; returns its text. Errc::not_found for an id that no
  // alert has; Errc::conflict when there is nothing left to be reminded of; Errc::out_of_range: `until` has
  // passed already.
  virtual Result<std::string> acknowledge(std::int64_t alert) = 0;
  virtual Result<std::string> snooze(std::int64_t alert, Time until) = 0;
  virtual Result<std::vector<ChannelReport>> channels() const = 0;
  // Sends a test by the way that alerts go; what comes of it is asked for with fate(). Errc::not_found.
  virtual Result<std::int64_t> test_channel(const std::string& channel) = 0;
  virtual Result<Fate> fate(std::int64_t alert, const std::string& channel) const = 0;
  // What was refused goes out again. Returns how many. Errc::not_found.
  virtual Result<std::int64_t> retry_channel(const std::string& channel) = 0;
  // Errc::conflict: the batch is packaged.
  virtual Result<Outlook> outlook(std::int64_t batch, const WhatIf& question) const = 0;
  // Takes a gravity measured by hand, as it is at 20 degC; without a time, taken now. Returns the batch as it
  // stands with it. Errc::out_of_range: it cannot be of this beer; Errc::conflict: the batch is packaged, or
  // the sample is known.
  virtual Result<BatchRecord> sample(std::int64_t batch, SpecificGravity gravity,
                                     std::optional<Time> taken) = 0;
  // In order of the time they are about.
  virtual Result<std::vector<Note>> notes(std::int64_t batch) const = 0;
  // What the brewer wants to remember; without a time, about now. Errc::out_of_range: the time lies in the
  // future; Errc::conflict: it is there already.
  virtual Result<Note> note(std::int64_t batch, const std::string& text, std::optional<Time> time) = 0;
};

}  // namespace gyle
