#include "app/daemon_cellar.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "app/sample_check.h"
#include "reports/evidence_json.h"

namespace gyle {

DaemonCellar::DaemonCellar(Watch& watch, Database& database, const Clock& clock, Time running_since,
                           std::string broker)
    : watch_(watch),
      clock_(clock),
      broker_(std::move(broker)),
      running_since_(running_since),
      journal_(database),
      batches_(database),
      outbox_(database) {}

Status DaemonCellar::open() {
  BOOST_OUTCOME_TRY(rows, journal_.newest_of_each());
  for (const JournalRow& row : rows) heard(row);
  return success();
}

void DaemonCellar::heard(const JournalRow& row) {
  if (row.reading.quantity == Quantity::sample) return;  // from a hand, not a sensor
  newest_[row.reading.sensor].insert_or_assign(row.reading.quantity, row.reading);
}

DaemonRecord DaemonCellar::daemon() const {
  DaemonRecord record;
  record.version = GYLE_VERSION;
  record.broker = broker_;
  record.broker_connected = broker_connected_;
  record.now = clock_.now();
  record.running_since = running_since_;
  record.last_message = last_message_;
  if (const auto counts = journal_.counts()) {
    record.readings = static_cast<std::uint64_t>(counts.value().readings);
    for (const auto& [reason, count] : counts.value().refusals)
      record.refusals += static_cast<std::uint64_t>(count);
  }
  return record;
}

Result<BatchRecord> DaemonCellar::record(const StoredBatch& batch) const {
  BatchRecord record{batch.id, batch.vessel, {}, batch.packaged, {}, {}};
  if (auto spec = watch_.spec(batch)) {
    record.spec = std::move(spec.value());
    BOOST_OUTCOME_TRY(view, watch_.view(batch));
    record.view = view;
  } else {
    record.spec.name = batch.name;
    record.spec.pitched = batch.pitched;
    record.view.time = batch.pitched;
    record.unreadable = spec.error().message;
  }
  return record;
}

std::vector<BatchRecord> DaemonCellar::batches() const {
  std::vector<BatchRecord> records;
  const auto all = batches_.all();
  if (!all) {
    spdlog::error("{}", all.error().message);
    return records;
  }
  for (const StoredBatch& batch : all.value()) {
    if (auto one = record(batch)) {
      records.push_back(std::move(one.value()));
    } else {
      spdlog::error("batch {}: {}", batch.id, one.error().message);
    }
  }
  std::stable_sort(records.begin(), records.end(), [](const BatchRecord& a, const BatchRecord& b) {
    return a.spec.pitched < b.spec.pitched;
  });
  return records;
}

std::vector<SensorRecord> DaemonCellar::sensors() const {
  std::vector<SensorRecord> records;
  for (const auto& [sensor, quantities] : newest_) {
    SensorRecord& one = records.emplace_back();
    one.sensor = sensor;
    for (const Vessel& vessel : watch_.vessels()) {
      if (std::find(vessel.sensors.begin(), vessel.sensors.end(), sensor) != vessel.sensors.end()) {
        one.vessel = vessel.name;
      }
    }
    for (const auto& [quantity, reading] : quantities) one.newest.push_back(reading);
  }
  return records;
}

RefusalSummary DaemonCellar::refusals(std::size_t at_most) const {
  RefusalSummary summary;
  const auto counts = journal_.counts();
  const auto rows = journal_.recent_refusals(static_cast<int>(at_most));
  if (!counts || !rows) {
    spdlog::error("{}", counts ? rows.error().message : counts.error().message);
    return summary;
  }
  for (const auto& [reason, count] : counts.value().refusals) {
    if (const auto known = refusal_reason_named(reason)) {
      summary.counts.emplace_back(*known, static_cast<std::uint64_t>(count));
    }
  }
  for (const RefusalRow& row : rows.value()) {
    if (const auto known = refusal_reason_named(row.reason)) {
      summary.newest.push_back({row.received, *known, row.topic, row.sensor, row.detail, row.head});
    }
  }
  return summary;
}

Result<BatchRecord> DaemonCellar::pitch(const std::string& vessel, const BatchSpec& spec) {
  BOOST_OUTCOME_TRY(id, watch_.pitch(vessel, spec));
  BOOST_OUTCOME_TRY(batch, stored(id));
  return record(batch);
}

Result<BatchRecord> DaemonCellar::package(std::int64_t batch, std::optional<Time> time) {
  if (!time) {
    BOOST_OUTCOME_TRY(now, this->now("say when it was packaged"));
    time = now;
  }
  BOOST_OUTCOME_TRY(watch_.package(batch, *time));
  BOOST_OUTCOME_TRY(ended, stored(batch));
  return record(ended);
}

Result<std::vector<CurvePoint>> DaemonCellar::curve(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(known, stored(batch));
  return watch_.curve(known);
}

Result<std::vector<ToldAlert>> DaemonCellar::alerts(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(stored(batch));
  BOOST_OUTCOME_TRY(rows, outbox_.alerts(batch));
  std::vector<ToldAlert> told;
  for (const StoredAlert& row : rows) {
    told.push_back({row.decision, row.sentence});
    told.back().decision.evidence = parse_evidence(row.evidence);
  }
  return told;
}

Result<Outlook> DaemonCellar::outlook(std::int64_t batch, const WhatIf& question) const {
  return watch_.outlook(batch, question);
}

Result<BatchRecord> DaemonCellar::sample(std::int64_t batch, SpecificGravity gravity,
                                         std::optional<Time> taken) {
  BOOST_OUTCOME_TRY(known, stored(batch));
  BOOST_OUTCOME_TRY(spec, watch_.spec(known));
  BOOST_OUTCOME_TRY(now, this->now("enter the sample after the first message"));
  const Time time = taken.value_or(now);
  BOOST_OUTCOME_TRYV(check_sample(spec, gravity, time, now, watch_.display()));
  BOOST_OUTCOME_TRYV(watch_.sample(batch, gravity, time, now));
  return record(known);
}

Result<Time> DaemonCellar::now(const char* else_do) const {
  if (const Time now = clock_.now(); now != Time{}) return now;
  return fail(Errc::conflict,
              fmt::format("the daemon does not know what time it is: it runs with --clock-follows-messages, "
                          "and no message has come since it started; {}",
                          else_do));
}

Result<StoredBatch> DaemonCellar::stored(std::int64_t batch) const {
  BOOST_OUTCOME_TRY(all, batches_.all());
  for (const StoredBatch& one : all) {
    if (one.id == batch) return one;
  }
  return fail(Errc::not_found, fmt::format("there is no batch number {}", batch));
}

}  // namespace gyle
