#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/time.h"
#include "fermentation/addition.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// What ends a hold.
struct UntilProgress {
  double fraction;  // of the expected fall, to the middle of the expected attenuation; (0, 1.5]
};
struct UntilAttenuation {
  double apparent;  // (0, 1.1)
};
struct UntilDays {
  double days;  // since this hold became due; the first: since the pitch
};
struct UntilGravity {
  SpecificGravity gravity;
};
struct UntilFinalGravity {};
using HoldEnd = std::variant<UntilProgress, UntilAttenuation, UntilDays, UntilGravity, UntilFinalGravity>;

// One temperature of the plan, kept until its condition is met.
struct Hold {
  Celsius temperature;
  HoldEnd until;
};

struct Yeast {
  std::string name;               // as the brewer calls it; may be empty
  double attenuation_low = 0.70;  // expected apparent attenuation, 0 < low <= high < 1.1
  double attenuation_high = 0.80;
  Celsius temperature_low{15.0};  // the range it works well in
  Celsius temperature_high{24.0};
  // Where the band of attenuation comes from: the brewer, or so many earlier batches with this yeast
  // (fermentation/yeast_record.h); neither: what most yeasts do.
  bool attenuation_given = false;
  int attenuation_batches = 0;
  // When half of the fall is over, by those batches: 80 % interval in thermal hours from the pitch. 0: unknown.
  double half_low_h = 0;
  double half_high_h = 0;

  double expected_attenuation() const { return (attenuation_low + attenuation_high) / 2; }
};

// The apparent attenuation that ends a hold; nothing where something else ends it.
std::optional<double> wanted_attenuation(const HoldEnd& until, const Yeast& yeast);

// When gravity counts as stable: it changes by no more than `tolerance` over `window`.
struct FinalGravityRule {
  Duration window = hours(48);
  GravityPoints tolerance{1.0};
};

// The brewer's description of a batch; checked by validate() before the core sees it.
struct BatchSpec {
  std::string name;
  Time pitched;
  std::optional<SpecificGravity> original_gravity;
  std::optional<double> volume_l;
  Yeast yeast;
  FinalGravityRule final_gravity;
  std::vector<Hold> plan;
  std::vector<Addition> additions;  // in order of time; each of sugar, fruit or water needs the volume
};

// The description from an addition on: volume, original gravity and the expected band of attenuation are
// those of a beer that had it from the beginning. `original`: of before, points, where the description has
// none. Without a volume, the same.
BatchSpec described_after(BatchSpec batch, const Addition& addition, double original);
// After all additions up to `time`; without an original gravity only the volume changes.
BatchSpec described_at(BatchSpec batch, Time time);

}  // namespace gyle
