#pragma once

#include <compare>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "calibration/paired_samples.h"
#include "fermentation/amendment.h"
#include "fermentation/batch.h"
#include "fermentation/batch_trace.h"
#include "fermentation/decision.h"
#include "fermentation/view.h"
#include "fermentation/what_if.h"
#include "fermentation/yeast_record.h"
#include "ingest/refusal.h"
#include "series/reading.h"
#include "wording/set_point_lines.h"

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
  bool over = false;    // it was withdrawn, its step was carried out, or its batch has left its vessel
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
struct SystemAlert {
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

// What the thermostat of a batch's vessel is asked for.
struct SetPointReport {
  std::string topic;  // empty: none is configured
  SetPointStatus status;
};

// A sensor that has been heard, assigned to a vessel or not.
struct SensorRecord {
  std::string sensor;
  std::string vessel;                          // empty: in none
  std::vector<Reading> newest;                 // the last reading of each quantity
  std::optional<CalibrationCurve> curve = {};  // it is calibrated
};

// Where a sensor is in the list of all: by id, those in vessels first.
struct SensorPlace {
  bool loose = false;  // in no vessel
  std::string sensor;

  auto operator<=>(const SensorPlace&) const = default;
};

// How a sensor was calibrated once.
struct CalibrationRecord {
  std::int64_t number = 0;
  Time made;
  std::optional<InclinationFit> fit;  // absent: from then on it was not calibrated
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
  std::string database_trouble = {};  // why nothing can be stored, or what is wrong with it; empty: nothing
};

// What the control socket, and later the pages, may ask of the running daemon. Called on the daemon's thread;
// every call answers at once.
class Cellar {
 public:
  virtual ~Cellar() = default;

  virtual DaemonRecord daemon() const = 0;
  // In the order they were pitched, packaged ones included.
  virtual std::vector<BatchRecord> batches() const = 0;
  // Of those after `after`, or of all, the first `at_most`: by SensorPlace.
  virtual std::vector<SensorRecord> sensors(const std::optional<SensorPlace>& after,
                                            std::size_t at_most) const = 0;
  virtual std::optional<SensorRecord> sensor(const std::string& id) const = 0;
  // It is no longer among sensors() until it is heard again; its readings are kept. Errc::not_found;
  // Errc::conflict: an open batch uses it.
  virtual Status forget_sensor(const std::string& sensor) = 0;
  virtual RefusalSummary refusals(std::size_t at_most) const = 0;

  // What each yeast that a batch named did so far, by name.
  virtual Result<std::vector<YeastHistory>> yeasts() const = 0;

  // Starts a batch; a band of attenuation that was not given is what earlier batches with this yeast let
  // expect. Errc::not_found: no such vessel is configured; Errc::conflict: a batch is in it.
  virtual Result<BatchRecord> pitch(const std::string& vessel, const BatchSpec& spec) = 0;
  // Keeps recorded readings under the name of an import, until import_batch() says of which batch they are.
  // Returns how many were new. Errc::out_of_range: one lies in the future or is no finite number.
  virtual Result<std::size_t> import_readings(const std::string& import,
                                              const std::vector<Reading>& readings) = 0;
  // A batch of the past with those readings, judged as if it had been watched; nobody is alerted.
  // Errc::conflict: they are a batch's already; Errc::not_found: there are none; Errc::out_of_range: it was
  // packaged in the future or before its pitch.
  virtual Result<BatchRecord> import_batch(const std::string& import, const std::string& vessel,
                                           const BatchSpec& spec, Time packaged) = 0;
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
  virtual Result<std::vector<SystemAlert>> system_alerts(int newest,
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
  virtual Result<SetPointReport> set_point(std::int64_t batch) const = 0;
  // The brewer's yes to the temperature that waits for it; with a step, only if it follows that hold.
  // Errc::conflict: it does not wait.
  virtual Result<SetPointReport> confirm_set_point(std::int64_t batch, std::optional<int> step) = 0;
  // The gravities measured by hand that count, in the order they were entered.
  virtual Result<std::vector<JournalEntry>> samples(std::int64_t batch) const = 0;
  // Newest first; the first counts.
  virtual Result<std::vector<CalibrationRecord>> calibrations(const std::string& sensor) const = 0;
  // Hand samples of a batch with how the sensor tilted then; Errc::not_found: it was never in that batch.
  virtual Result<PairedSamples> paired_samples(std::int64_t batch, const std::string& sensor) const = 0;
  // The sensor's gravity follows from its inclination like this now; without a fit it is as the sensor says.
  // Batches in their vessels are judged anew by it.
  virtual Result<CalibrationRecord> calibrate(const std::string& sensor,
                                              const std::optional<InclinationFit>& fit) = 0;
  // In order of the time they are about.
  virtual Result<std::vector<Note>> notes(std::int64_t batch) const = 0;
  // What the brewer wants to remember; without a time, about now. Errc::out_of_range: the time lies in the
  // future; Errc::conflict: it is there already.
  virtual Result<Note> note(std::int64_t batch, const std::string& text, std::optional<Time> time) = 0;
  // What was put right of a batch, in order.
  virtual Result<std::vector<Amendment>> amendments(std::int64_t batch) const = 0;
  // Makes `after` of a thing of the batch (sample and note by their number), which is judged anew where that
  // matters; what it was is kept.
  //   errors  Errc::not_found: there is no such thing; Errc::conflict: it is so already, or contradicts
  //   another
  //           batch; Errc::out_of_range: it cannot be so
  virtual Result<Amendment> amend(std::int64_t batch, AmendedThing thing, std::int64_t number,
                                  const Entry& after) = 0;
  // Makes it what it was again; without an amendment, the last that is not undone. Errc::conflict: it has
  // changed again since.
  virtual Result<Amendment> undo(std::int64_t batch, std::optional<std::int64_t> amendment) = 0;
};

}  // namespace gyle
