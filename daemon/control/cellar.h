#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/batch.h"
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

// Something the brewer was told, and the words it was told in.
struct ToldAlert {
  Decision decision;
  std::string text;
};

// A sensor that has been heard, assigned to a vessel or not.
struct SensorRecord {
  std::string sensor;
  std::string vessel;           // empty: in none
  std::vector<Reading> newest;  // the last reading of each quantity
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
  // In order of time; Errc::not_found for an id that no batch has.
  virtual Result<std::vector<CurvePoint>> curve(std::int64_t batch) const = 0;
  virtual Result<std::vector<ToldAlert>> alerts(std::int64_t batch) const = 0;
  // Errc::conflict: the batch is packaged.
  virtual Result<Outlook> outlook(std::int64_t batch, const WhatIf& question) const = 0;
  // Takes a gravity measured by hand, as it is at 20 degC; without a time, taken now. Returns the batch as it
  // stands with it. Errc::out_of_range: it cannot be of this beer; Errc::conflict: the batch is packaged, or
  // the sample is known.
  virtual Result<BatchRecord> sample(std::int64_t batch, SpecificGravity gravity,
                                     std::optional<Time> taken) = 0;
};

}  // namespace gyle
