#include "replay/replay.h"

#include <boost/container_hash/hash.hpp>

#include "ingest/plausibility.h"

namespace gyle {

Outcome Replay::deliver(const Reading& reading) {
  if (implausible(reading.quantity, reading.value)) return {};
  const auto sensor = sensors_.emplace(reading.sensor, sensors_.size()).first->second;
  const bool fresh = journal_.insert({sensor, reading.quantity, reading.time, reading.value}).second;
  return fresh ? tracker_.advance(reading) : Outcome{};
}

std::size_t Replay::RowHash::operator()(const Row& row) const {
  std::size_t seed = 0;
  boost::hash_combine(seed, row.sensor);
  boost::hash_combine(seed, static_cast<int>(row.quantity));
  boost::hash_combine(seed, row.time.time_since_epoch().count());
  boost::hash_combine(seed, row.value);
  return seed;
}

}  // namespace gyle
