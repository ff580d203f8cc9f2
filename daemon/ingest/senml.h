#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "ingest/json_value.h"

namespace gyle {

// A record of a SenML pack with the base fields worked in.
struct SenmlRecord {
  std::string name;             // base name + name, never empty
  std::string unit;             // own or base unit; may be empty
  std::optional<double> value;  // absent when the record holds text, a boolean, data or only a sum
  double time_s;                // base time + time; see is_absolute

  // RFC 8428 section 4.5.3: from 2^28 on seconds since the epoch, below relative to now (0: now, -5: five
  // seconds ago).
  bool is_absolute() const { return time_s >= 268435456.0; }
};

// Resolves a pack (RFC 8428 sections 4.1 to 4.6), in its own order. Errc::malformed says what breaks the
// standard: then nothing of the pack may be used. Unknown fields are ignored unless their label ends in "_";
// versions up to 10 are understood. A record of base fields alone yields nothing.
Result<std::vector<SenmlRecord>> resolve_senml(const JsonValue& pack);

}  // namespace gyle
