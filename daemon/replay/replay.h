#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <unordered_set>

#include "fermentation/tracker.h"
#include "series/reading.h"

namespace gyle {

// Delivers recorded readings to a batch as the daemon would have: readings that it refuses on arrival
// (ingest/plausibility.h) or has in its journal already (the same sensor, quantity, time and value) never
// reach the tracker and have no outcome. There are no ticks: event time is that of the readings, so that the
// outcomes up to a row are the same whatever rows follow.
//   memory  some 60 bytes for each reading
class Replay {
 public:
  explicit Replay(BatchSpec spec) : tracker_(std::move(spec)) {}  // the spec must have passed validate()

  Outcome deliver(const Reading& reading);

 private:
  struct Row {
    std::uint32_t sensor;
    Quantity quantity;
    Time time;
    double value;
    bool operator==(const Row&) const = default;
  };
  struct RowHash {
    std::size_t operator()(const Row& row) const;
  };

  Tracker tracker_;
  std::map<std::string, std::uint32_t> sensors_;
  std::unordered_set<Row, RowHash> journal_;
};

}  // namespace gyle
