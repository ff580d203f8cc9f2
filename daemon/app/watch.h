#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <variant>
#include <vector>

#include "alerts/alert_routing.h"
#include "app/decision_alerts.h"
#include "app/ended_batches.h"
#include "app/history.h"
#include "app/stored_ticks.h"
#include "app/vessels.h"
#include "config/settings.h"
#include "fermentation/batch_trace.h"
#include "fermentation/continuity.h"
#include "fermentation/event.h"
#include "fermentation/tracker.h"
#include "storage/batch_store.h"
#include "storage/calibration_store.h"
#include "storage/journal.h"
#include "storage/judging_log.h"
#include "storage/past_batches.h"
#include "storage/watch_log.h"

namespace gyle {

// Evaluates the batches in their vessels: feeds each its readings, the time and the brewer's acts, all in the order in
// which a restart will read them. Their decisions go to DecisionAlerts, packaged batches to EndedBatches.
//   restart  open() reads the journal through the same judgement; the outbox knows which alerts it has
//   errors   a decision that cannot be stored is kept and tried again with the next event
//   loop     what reads much of the journal is left to the reader of ended(), and joined when it is ready
//   threads  one; `database` is its connection
class Watch {
 public:
  // `on_queued` is called after something new has been put into the outbox.
  Watch(Database& database, AlertRouting routing, std::function<void()> on_queued);

  // Sets the vessels and the display settings, at start and when the configuration changes.
  Status configure(std::vector<Vessel> vessels, DisplaySettings display);

  // Reads the open batches; `configure` first. One whose description cannot be read is left as it is,
  // unwatched, and this is logged; the others are watched. In a `damaged` database the same holds for one
  // whose readings cannot be read.
  Status open(bool damaged = false);

  void take(const JournalRow& row);

  // The clock has reached `now` and every reading that arrived before has been taken. When it had been ahead
  // and is set back, what it left behind is corrected, and the open batches are evaluated again.
  void tick(Time now);

  // All of it or nothing is stored. When the batch is stored but cannot be judged yet, that is tried again
  // with the next tick.
  Result<std::int64_t> pitch(const std::string& vessel, const BatchSpec& spec);
  Status package(std::int64_t batch, Time time);

  // A batch that was over before it was entered, with the readings of an import (storage/past_batches.h). Its
  // alerts are stored with its end and sent to nobody. Errors as of PastBatches::add().
  Result<std::int64_t> add_past(const std::string& import, const std::string& vessel, const BatchSpec& spec,
                                Time packaged);
  // Whether it is such a batch.
  Result<bool> is_past(std::int64_t batch);

  // A gravity measured by hand. When this returns, it is in the journal and in the judgement, and so is every
  // reading that was in the journal before it, those of messages still on their way here included: a restart
  // will read them in this order.
  //   errors  Errc::conflict: no batch in a vessel, or this sample is in the journal already
  Status sample(std::int64_t batch, SpecificGravity gravity, Time taken, Time now);

  // The batch's description, a sample or a calibration has changed. The batch is re-evaluated from the whole
  // journal, and its alerts are corrected where they no longer hold. The change must have called for it in
  // the database (storage/judging_log.h), so that a stop in between loses nothing. With a reader that goes on
  // beside the loop: until it is done, the batch is judged as before.
  //   errors  Errc::storage or unavailable: it is tried again with the next tick
  Status re_evaluate(std::int64_t batch);

  // From now on the sensor's gravity is calculated from its inclination by this fit; without a fit, its own
  // gravity is used. Open batches are re-evaluated with it from their pitch on, for it is the same
  // hydrometer; packaged ones keep their calibration. Returns its number.
  Result<std::int64_t> calibrate(const std::string& sensor, const std::optional<InclinationFit>& fit,
                                 Time now);

  EndedBatches& ended() { return ended_; }
  // Whether view() and trace() of a batch that is being re-evaluated are Errc::unavailable until that is done, as
  // of ended(). Otherwise they show it as it was judged before.
  void show_only_corrected(bool only) { only_corrected_ = only; }

  // The state of a batch; of a packaged one, at its end.
  Result<BatchView> view(const StoredBatch& batch);
  // What the yeast did in it; absent unless it was packaged at a stable final gravity.
  Result<std::optional<YeastRun>> yeast_run(const StoredBatch& batch);
  // Its course as it was judged. Of an open batch it grows as readings are judged, and is what a restart
  // would make of the journal; of a packaged one the journal is read again, unless that was done lately.
  Result<std::shared_ptr<const BatchTrace>> trace(const StoredBatch& batch);
  // Errc::conflict for a batch that has left its vessel.
  Result<Outlook> outlook(std::int64_t batch, const WhatIf& question) const;
  // Errc::malformed or out_of_range for a description that cannot be read; such a batch is not watched.
  Result<BatchSpec> spec(const StoredBatch& batch) const;

  const std::vector<Vessel>& vessels() const { return vessels_.all(); }
  const DisplaySettings& display() const { return display_; }
  const CalibrationCurves& curves() const { return curves_; }

 private:
  struct Watched {
    StoredBatch batch;
    Tracker tracker;
    std::vector<Assignment> assignments;
    std::int64_t read_up_to;  // the journal's rows up to here are in the tracker
    std::shared_ptr<BatchTrace> trace;
    Continuity continuity;
    std::vector<Decision> decisions;        // all of it, as the judgement numbers them
    std::optional<std::int64_t> first_fed;  // number of a reading
  };
  // A batch that the reader is re-evaluating up to a reading, with what has come since.
  struct ReEvaluation {
    std::uint64_t number;
    StoredBatch batch;
    std::vector<Assignment> assignments;
    std::vector<std::variant<JournalRow, Tick>> since;
  };

  Status begin(const StoredBatch& batch);
  Status re_evaluate_beside(PastReader& reader, const StoredBatch& batch);
  void was_re_evaluated(std::int64_t batch, std::uint64_t number, Result<Past>&& past);
  Status join(const ReEvaluation& done, Past&& past);
  bool waits_for_correction(std::int64_t batch) const;
  void keep_alerts_of_import(const StoredBatch& batch, const Past& past);
  Status may_end(std::int64_t batch, Time time);
  Status assign(std::int64_t batch, const std::string& vessel);
  Result<Past> read(const StoredBatch& batch);
  Result<Continuity> go_on(const StoredBatch& batch, const Past& past);
  void feed(Watched& watched, const Event& event);
  void feed(const JournalRow& row);
  bool catch_up();
  void store_alerts();

  Journal journal_;
  BatchStore batches_;
  PastBatches past_batches_;
  WatchLog log_;
  CalibrationStore calibrations_;
  JudgingLog judging_;
  Vessels vessels_;
  DisplaySettings display_;
  const std::function<void()> on_news_;
  DecisionAlerts alerts_;
  EndedBatches ended_;
  StoredTicks ticks_;
  CalibrationCurves curves_;  // in force
  std::map<std::int64_t, Watched> open_;
  std::set<std::int64_t> to_re_evaluate_;
  std::map<std::int64_t, ReEvaluation> re_evaluations_;
  std::uint64_t re_evaluations_begun_ = 0;
  bool only_corrected_ = false;
  std::int64_t newest_reading_ = 0;  // the last one that was taken
  std::int64_t owed_up_to_ = 0;      // readings to be taken from the journal before any other
};

}  // namespace gyle
