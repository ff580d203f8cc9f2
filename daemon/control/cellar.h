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
#include "packaging/fill.h"
#include "series/reading.h"
#include "wording/check_lines.h"
#include "wording/fill_lines.h"
#include "wording/set_point_lines.h"

namespace gyle {

// A batch as the daemon holds it.
struct BatchRecord {
  std::int64_t id = 0;  // never used twice
  std::string vessel;
  BatchSpec spec;
  std::optional<Time> packaged;  // absent while it is in the vessel
  BatchView view;                // of a packaged batch: as of its packaging
  // Why its description cannot be read; it is then not watched, and only its name and its pitch are known.
  std::string unreadable;
};

// How far an alert is dealt with.
struct AlertMark {
  std::int64_t id = 0;  // the number that acknowledges it
  bool over = false;    // it was withdrawn, its step was carried out, or its batch has left its vessel
  std::optional<Time> acknowledged;
  std::optional<Time> snoozed_until;
};

// An alert of a batch as it was reported, with its text.
struct ReportedAlert {
  Decision decision;
  std::string text;
  AlertMark mark = {};
};

// What the daemon reported about itself.
struct SystemAlert {
  Time time;
  std::string kind;
  Severity severity;
  Decision::State state;
  std::string text;
  AlertMark mark = {};
};

// A channel as configured, with its delivery status.
struct ChannelReport {
  std::string name;
  std::string kind;
  std::int64_t waiting = 0;
  std::int64_t refused = 0;  // by the destination; parked until a retry is asked for
  std::optional<Time> delivered_last;
  std::string trouble;  // the newest answer of the destination to what waits or was refused; empty: none
};

// What came of one alert on one channel.
struct Fate {
  std::string outcome;  // "waiting", "delivered", "refused" or "overtaken"
  int attempts = 0;     // failed so far
  std::string answer;   // of the destination
};

// What the brewer wrote about a batch.
struct Note {
  std::int64_t id = 0;
  Time time;  // what it is about
  std::string text;
  bool tasting = false;  // how the beer tasted
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

// What the daemon sees of what it depends on, for GET /v1/check.
struct SelfFacts {
  BrokerFacts broker;
  DatabaseFacts database;
  ClockFacts clock;
  std::vector<std::pair<std::string, std::string>> vessel_sensors;  // vessel, sensor; as configured
  std::size_t vessels = 0;
};

// What the API may ask of the running daemon.
//   threads  the loop's; every call answers at once
class Cellar {
 public:
  virtual ~Cellar() = default;

  virtual DaemonRecord daemon() const = 0;
  virtual SelfFacts self_facts() const = 0;
  // The names of the configured vessels, in the order of the configuration.
  virtual std::vector<std::string> vessels() const = 0;
  // In the order they were pitched, packaged ones included.
  virtual std::vector<BatchRecord> batches() const = 0;
  // Those in a vessel.
  virtual std::vector<BatchRecord> open_batches() const = 0;
  // Of those after `after`, or of all, the first `at_most`: by SensorPlace.
  virtual std::vector<SensorRecord> sensors(const std::optional<SensorPlace>& after,
                                            std::size_t at_most) const = 0;
  virtual std::optional<SensorRecord> sensor(const std::string& id) const = 0;
  // It is no longer among sensors() until it is heard again; its readings are kept. Errc::not_found;
  // Errc::conflict: an open batch uses it.
  virtual Status forget_sensor(const std::string& sensor) = 0;
  virtual RefusalSummary refusals(std::size_t at_most) const = 0;

  // The record of each yeast that a batch names, by name.
  virtual Result<std::vector<YeastHistory>> yeasts() const = 0;

  // Starts a batch. Without an attenuation band it takes the one that earlier batches with this yeast
  // suggest. Errc::not_found: no such vessel is configured; Errc::conflict: a batch is in it.
  virtual Result<BatchRecord> pitch(const std::string& vessel, const BatchSpec& spec) = 0;
  // Keeps recorded readings under the name of an import, until import_batch() makes a batch of them.
  // Returns how many were new. Errc::out_of_range: one lies in the future or is no finite number.
  virtual Result<std::size_t> import_readings(const std::string& import,
                                              const std::vector<Reading>& readings) = 0;
  // A past batch with those readings, judged as if it had been watched; no alert is sent.
  // Errc::conflict: they already belong to a batch; Errc::not_found: there are none; Errc::out_of_range: it
  // was packaged in the future or before its pitch.
  virtual Result<BatchRecord> import_batch(const std::string& import, const std::string& vessel,
                                           const BatchSpec& spec, Time packaged) = 0;
  // Ends a batch; without a time, now. Errc::conflict: it is packaged already, or the time is before its
  // pitch.
  virtual Result<BatchRecord> package(std::int64_t batch, std::optional<Time> time) = 0;
  // Its curve and its judgement over time, which may grow until the next call. Errc::not_found for an id that
  // no batch has.
  virtual Result<std::shared_ptr<const BatchTrace>> trace(std::int64_t batch) const = 0;
  // Its raw readings in the order they were accepted: of those with a number above `after` the first
  // `at_most`.
  virtual Result<std::vector<JournalEntry>> readings(std::int64_t batch, std::int64_t after,
                                                     std::size_t at_most) const = 0;
  virtual Result<std::vector<ReportedAlert>> alerts(std::int64_t batch) const = 0;
  // The newest ones, oldest first; only those before the one with the id `before`, if given.
  virtual Result<std::vector<SystemAlert>> system_alerts(int newest,
                                                         std::optional<std::int64_t> before = {}) const = 0;
  // No reminders of it any more, or none before `until`; returns its text. Errc::not_found for an id that no
  // alert has; Errc::conflict when the alert is over; Errc::out_of_range: `until` has passed already.
  virtual Result<std::string> acknowledge(std::int64_t alert) = 0;
  virtual Result<std::string> snooze(std::int64_t alert, Time until) = 0;
  virtual Result<std::vector<ChannelReport>> channels() const = 0;
  // Sends a test the way alerts are sent; fate() then says whether it arrived. Errc::not_found.
  virtual Result<std::int64_t> test_channel(const std::string& channel) = 0;
  virtual Result<Fate> fate(std::int64_t alert, const std::string& channel) const = 0;
  // Sends again what was refused. Returns how many. Errc::not_found.
  virtual Result<std::int64_t> retry_channel(const std::string& channel) = 0;
  // Errc::conflict: the batch is packaged.
  virtual Result<Outlook> outlook(std::int64_t batch, const WhatIf& question) const = 0;
  // Takes a gravity measured by hand, as it is at 20 degC; without a time, taken now. Returns the batch with
  // the sample taken into account. Errc::out_of_range: it cannot be of this beer; Errc::conflict: the batch is
  // packaged, or the sample is known.
  virtual Result<BatchRecord> sample(std::int64_t batch, SpecificGravity gravity,
                                     std::optional<Time> taken) = 0;
  virtual Result<SetPointReport> set_point(std::int64_t batch) const = 0;
  // Confirms the temperature that waits for the brewer; with a step, only if it follows that hold.
  // Errc::conflict: none waits.
  virtual Result<SetPointReport> confirm_set_point(std::int64_t batch, std::optional<int> step) = 0;
  // The gravities measured by hand that count, in the order they were entered.
  virtual Result<std::vector<JournalEntry>> samples(std::int64_t batch) const = 0;
  // Newest first; the first counts.
  virtual Result<std::vector<CalibrationRecord>> calibrations(const std::string& sensor) const = 0;
  // Hand samples of a batch with the sensor's inclination then; Errc::not_found: it was never in that batch.
  virtual Result<PairedSamples> paired_samples(std::int64_t batch, const std::string& sensor) const = 0;
  // From now on the sensor's gravity follows from its inclination by this fit; without a fit it is what the
  // sensor reports. Batches in their vessels are re-evaluated.
  virtual Result<CalibrationRecord> calibrate(const std::string& sensor,
                                              const std::optional<InclinationFit>& fit) = 0;
  // In order of the time they are about.
  virtual Result<std::vector<Note>> notes(std::int64_t batch) const = 0;
  // What the brewer wants to remember; without a time, about now. Errc::out_of_range: the time lies in the
  // future; Errc::conflict: it is there already.
  virtual Result<Note> note(std::int64_t batch, const std::string& text, std::optional<Time> time,
                            bool tasting) = 0;
  // What a packaged batch was filled into, in order of time.
  virtual Result<std::vector<NumberedFill>> fills(std::int64_t batch) const = 0;
  // The batches that were filled last, newest first, by what is stored of them: without a view or a plan.
  virtual Result<std::vector<BatchRecord>> filled_last(int at_most) const = 0;
  // Errc::conflict: the batch is in its vessel, or it has this fill already; Errc::out_of_range: see
  // check_fill(), or its time is before the pitch or in the future.
  virtual Result<NumberedFill> add_fill(std::int64_t batch, const Fill& fill) = 0;
  // Errc::not_found.
  virtual Status take_back_fill(std::int64_t batch, std::int64_t fill) = 0;
  // The amendments to a batch, in order.
  virtual Result<std::vector<Amendment>> amendments(std::int64_t batch) const = 0;
  // Replaces an entry of the batch (sample and note by their number) by `after`. The old value is kept; the
  // batch is re-evaluated where that matters.
  //   errors  Errc::not_found: there is no such entry; Errc::conflict: it has that value already, or would
  //           contradict another batch; Errc::out_of_range: the value is not possible
  virtual Result<Amendment> amend(std::int64_t batch, AmendedThing thing, std::int64_t number,
                                  const Entry& after) = 0;
  // Restores the value before an amendment; without a number, before the last that is not undone.
  // Errc::conflict: the entry was amended again since.
  virtual Result<Amendment> undo(std::int64_t batch, std::optional<std::int64_t> amendment) = 0;
};

}  // namespace gyle
