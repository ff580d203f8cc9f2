#pragma once

#include <functional>
#include <map>
#include <utility>
#include <variant>

#include "app/amendments.h"
#include "app/announcer.h"
#include "app/set_points.h"
#include "app/watch.h"
#include "base/clock.h"
#include "control/cellar.h"
#include "storage/fill_store.h"
#include "storage/note_store.h"

namespace gyle {

// Answers the requests of the control socket and the API from the watched batches and the database.
//   threads  the loop's
class DaemonCellar final : public Cellar {
 public:
  // `watch`, `database` and `clock` must outlive this.
  DaemonCellar(Watch& watch, Announcer& announcer, const AlertRouting& routing, Database& database,
               const Clock& clock, Time running_since, std::string broker);

  // Kept up to date by the service.
  void heard(const JournalRow& row);
  void message_received(Time time) { last_message_ = time; }
  void broker_connected(bool yes) { broker_connected_ = yes; }
  // What is wrong with the database, as a sentence; empty: nothing that is known.
  void database_trouble(std::string sentence) { database_trouble_ = std::move(sentence); }
  // How it looks at what it depends on; what the cellar itself knows is added.
  void look_at_self_by(std::function<SelfFacts()> look) { look_at_self_ = std::move(look); }
  // Without it no thermostat is asked. It must outlive this.
  void use(SetPoints& set_points) { set_points_ = &set_points; }
  Status open();  // reads what was received before the start

  DaemonRecord daemon() const override;
  SelfFacts self_facts() const override;
  std::vector<std::string> vessels() const override;
  std::vector<BatchRecord> batches() const override;
  std::vector<BatchRecord> open_batches() const override;
  std::vector<SensorRecord> sensors(const std::optional<SensorPlace>& after,
                                    std::size_t at_most) const override;
  std::optional<SensorRecord> sensor(const std::string& id) const override;
  RefusalSummary refusals(std::size_t at_most) const override;
  Result<std::vector<YeastHistory>> yeasts() const override;
  Result<BatchRecord> pitch(const std::string& vessel, const BatchSpec& spec) override;
  Result<std::size_t> import_readings(const std::string& import,
                                      const std::vector<Reading>& readings) override;
  Result<BatchRecord> import_batch(const std::string& import, const std::string& vessel,
                                   const BatchSpec& spec, Time packaged) override;
  Result<BatchRecord> package(std::int64_t batch, std::optional<Time> time) override;
  Result<std::shared_ptr<const BatchTrace>> trace(std::int64_t batch) const override;
  Result<std::vector<JournalEntry>> readings(std::int64_t batch, std::int64_t after,
                                             std::size_t at_most) const override;
  Result<std::vector<ReportedAlert>> alerts(std::int64_t batch) const override;
  Result<std::vector<SystemAlert>> system_alerts(int newest,
                                                 std::optional<std::int64_t> before) const override;
  Result<std::string> acknowledge(std::int64_t alert) override;
  Result<std::string> snooze(std::int64_t alert, Time until) override;
  Result<std::vector<ChannelReport>> channels() const override;
  Result<std::int64_t> test_channel(const std::string& channel) override;
  Result<Fate> fate(std::int64_t alert, const std::string& channel) const override;
  Result<std::int64_t> retry_channel(const std::string& channel) override;
  Result<Outlook> outlook(std::int64_t batch, const WhatIf& question) const override;
  Result<BatchRecord> sample(std::int64_t batch, SpecificGravity gravity, std::optional<Time> taken) override;
  Result<SetPointReport> set_point(std::int64_t batch) const override;
  Result<SetPointReport> confirm_set_point(std::int64_t batch, std::optional<int> step) override;
  Result<std::vector<JournalEntry>> samples(std::int64_t batch) const override;
  Result<std::vector<CalibrationRecord>> calibrations(const std::string& sensor) const override;
  Result<PairedSamples> paired_samples(std::int64_t batch, const std::string& sensor) const override;
  Status forget_sensor(const std::string& sensor) override;
  Result<CalibrationRecord> calibrate(const std::string& sensor,
                                      const std::optional<InclinationFit>& fit) override;
  Result<std::vector<Note>> notes(std::int64_t batch) const override;
  Result<Note> note(std::int64_t batch, const std::string& text, std::optional<Time> time,
                    bool tasting) override;
  Result<std::vector<NumberedFill>> fills(std::int64_t batch) const override;
  Result<std::vector<BatchRecord>> filled_last(int at_most) const override;
  Result<NumberedFill> add_fill(std::int64_t batch, const Fill& fill) override;
  Status take_back_fill(std::int64_t batch, std::int64_t fill) override;
  Result<std::vector<Amendment>> amendments(std::int64_t batch) const override;
  Result<Amendment> amend(std::int64_t batch, AmendedThing thing, std::int64_t number,
                          const Entry& after) override;
  Result<Amendment> undo(std::int64_t batch, std::optional<std::int64_t> amendment) override;

 private:
  Result<StoredBatch> stored(std::int64_t batch) const;
  // Errc::conflict, with what to do instead, while a clock that follows messages has seen none.
  Result<Time> now(const char* else_do) const;
  Result<BatchRecord> record(const StoredBatch& batch) const;
  std::vector<BatchRecord> records(const Result<std::vector<StoredBatch>>& stored) const;
  // The batch's readings that these assignments cover.
  Result<std::vector<JournalEntry>> rows(const StoredBatch& batch, const std::vector<Assignment>& assignments,
                                         std::int64_t after, std::size_t at_most) const;

  // What was changed, and cannot be shown before the reader has read it; the request begins again then.
  using Change = std::variant<std::string, std::int64_t>;  // an import, a batch packaged
  Result<BatchRecord> shown(const Change& change, std::int64_t batch);

  Status learn_band(Yeast& yeast) const;
  Result<StoredAlert> remindable(std::int64_t alert) const;
  Status known_channel(const std::string& channel) const;

  Watch& watch_;
  Announcer& announcer_;
  const AlertRouting& routing_;
  const Clock& clock_;
  std::string broker_;
  Time running_since_;
  bool broker_connected_ = false;
  std::string database_trouble_;
  std::function<SelfFacts()> look_at_self_;
  SetPoints* set_points_ = nullptr;
  std::optional<Time> last_message_;
  std::map<Change, StoredBatch> to_be_shown_;
  std::map<std::string, std::map<Quantity, Reading>> newest_;
  // Reading prepares statements, which the classes count as a change.
  mutable Journal journal_;
  mutable BatchStore batches_;
  mutable Outbox outbox_;
  mutable NoteStore notes_;
  mutable FillStore fills_;
  mutable WatchLog watch_log_;
  mutable Amendments amendments_;
  mutable CalibrationStore calibrations_;
};

}  // namespace gyle
