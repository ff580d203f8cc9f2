#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fermentation/batch.h"
#include "rehearsal/sensor_model.h"
#include "rehearsal/truth.h"
#include "series/reading.h"
#include "simulation/kinetic_families.h"

namespace gyle::simulation {

// Three sets of batches that share nothing but the kinds: other seeds, other ranges, another mix of kinetic
// families. Tune on the first, choose between variants on the second, and look at the third only to report
// it: three of its families are in no shape that the judgement knows.
// The last two have the sensors, rhythms and brewers that people really have: any noise, original gravities
// that are wrong, hydrometers that are off, one reading a minute to one a day. Tune on `wide`; `reported`
// shares no kinetic family with it and is looked at once, to report.
enum class Split { tuning, validation, held_out, wide, reported };
inline bool is_wide(Split split) { return split == Split::wide || split == Split::reported; }
std::string_view name(Split split);

// A reading and the moment at which it reaches the core.
struct DeliveredReading {
  Time delivered;
  Reading reading;
};

// A time span of the truth.
struct Span {
  Time from;
  Time to;
};

// One batch whose truth is known.
struct SimulatedBatch {
  std::string kind;
  std::uint64_t seed;
  Family family;
  BatchSpec spec;
  Truth truth;
  Hydrometer hydrometer;
  std::vector<DeliveredReading> readings;  // in order of delivery
  bool healthy;  // beer that finishes as expected, under a hydrometer with no more than everyday troubles

  // Facts that the judgement is held against, derived from the truth alone.
  std::optional<Span> stuck;  // slower than half a point a day with more than five points of sugar left
  std::optional<Time> float_frozen;
  std::vector<Span> float_silent;  // no message for at least a day
  std::vector<Span>
      out_of_range;  // beer more than 0.5 degC outside the yeast's range for 6 h and more, unwanted
  std::optional<Time> over_attenuated;  // apparent attenuation three hundredths above the expected band
  bool never_started;
  bool step_ignored;  // the second hold was due and nobody changed the thermostat

  Time first_gravity;  // when the first gravity reading was taken

  // Points (0.001 SG) that the beer has still to go at `time`, sugar that a stuck beer leaves included.
  double to_go(Time time) const;
  double fallen_share(Time time) const;  // of the whole fall to the final gravity, 0 to 1
  std::optional<Time> when_fallen(double share) const;
};

// Every kind of batch there is, in order.
std::vector<std::string> kind_names();

// The batch with this number: its kind follows from the seed (a fixed rota in which healthy kinds come more
// often), or is `kind` if given. The same arguments make the same batch.
SimulatedBatch simulate(Split split, std::uint64_t seed,
                        const std::optional<std::string>& kind = std::nullopt);

}  // namespace gyle::simulation
