#pragma once

#include <string>

#include "ingest/decoder.h"
#include "storage/database.h"

namespace gyle::test {

inline Time at(std::int64_t s) { return Time(seconds(1'772'000'000 + s)); }

inline Reading reading(Time time, double value, TimeQuality quality = TimeQuality::stamped,
                       std::string sensor = "hydrometer-1", Quantity quantity = Quantity::gravity) {
  return {time, std::move(sensor), quantity, value, quality};
}

inline Message message(std::string payload, Time received, std::uint16_t packet_id = 0) {
  Message m{"cellar/hydrometer-1", std::move(payload), received};
  m.packet_id = packet_id;
  return m;
}

// A bare number on a topic: its only time is that of its arrival.
inline Decoded untimed(const Message& m) {
  return {
      {reading(m.received, std::stod(m.payload), m.backlog ? TimeQuality::backlog : TimeQuality::arrival)},
      {}};
}

inline Refusal refusal(RefusalReason reason, Time received = at(0)) {
  return {received, reason, "cellar/hydrometer-1", "hydrometer-1", "1050 is no specific gravity", "1050"};
}

inline Database open(const std::filesystem::path& path) {
  auto database = Database::open(path);
  if (!database) throw std::runtime_error(database.error().message);
  return std::move(database).value();
}

}  // namespace gyle::test
